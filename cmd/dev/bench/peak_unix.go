//go:build unix

package bench

import (
	"os"
	"runtime"
	"syscall"
)

// peakMB is the most memory that a finished program held.
func peakMB(s *os.ProcessState) float64 {
	u, ok := s.SysUsage().(*syscall.Rusage)
	if !ok {
		return 0
	}
	if runtime.GOOS == "darwin" {
		return float64(u.Maxrss) / 1e6 // bytes there
	}
	return float64(u.Maxrss) / 1e3
}
