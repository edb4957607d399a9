package window

import (
	"os"
	"runtime"
)

// hasDisplay reports whether there is something to open a window on; only the X11 and Wayland systems can
// lack one.
func hasDisplay() bool {
	switch runtime.GOOS {
	case "windows", "darwin", "android", "ios", "js":
		return true
	}
	return os.Getenv("DISPLAY") != "" || os.Getenv("WAYLAND_DISPLAY") != ""
}
