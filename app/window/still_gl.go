//go:build cgo && ((!gles && !arm && !arm64 && !android && !ios && !mobile && !wasm) || (darwin && !mobile && !ios))

package window

import (
	"image"

	"github.com/go-gl/gl/v2.1/gl"
)

// Where the toolkit paints with this library, the frame that is being painted can be read back.
func init() {
	readFrame = func(x, y, w, h, high int) *image.RGBA {
		rows := make([]uint8, 4*w*h)
		gl.ReadBuffer(gl.BACK)
		gl.ReadPixels(int32(x), int32(high-y-h), int32(w), int32(h), gl.RGBA, gl.UNSIGNED_BYTE, gl.Ptr(rows))
		img := image.NewRGBA(image.Rect(0, 0, w, h))
		for k := range h { // the rows come from below
			copy(img.Pix[k*img.Stride:], rows[4*w*(h-1-k):4*w*(h-k)])
		}
		for i := 3; i < len(img.Pix); i += 4 {
			img.Pix[i] = 255 // what lies behind the window is not seen through it
		}
		return img
	}
}
