package contour

import "math"

// Sun is a light for shading: where it stands and how much it counts.
type Sun struct {
	// AzimuthDeg is the compass bearing the light comes from, AltitudeDeg its height above the
	// horizon, both in degrees.
	AzimuthDeg, AltitudeDeg float64
	// Weight is its share; weights are scaled to sum to one.
	Weight float64
}

// OneSun is the cartographic habit, light from the north-west at 45 degrees: common practice, since
// light from the foot of the map makes valleys look like ridges.
var OneSun = []Sun{{315, 45, 1}}

// FourSuns lights from the west, north-west, north and south-west at 30 degrees, so that ridges along
// the main light keep their shape. The directions are those of R.K. Mark, "Multidirectional,
// oblique-weighted, shaded-relief image of the Island of Hawaii", US Geological Survey Open-File Report
// 92-422, 1992; the weights here are fixed instead of following the aspect, by judgement, so that one
// pass serves all.
var FourSuns = []Sun{{225, 30, 1}, {270, 30, 1}, {315, 30, 2}, {360, 30, 1}}

// Shade is a picture of the relief in grey with a mask.
type Shade struct {
	Cols, Rows int
	// Grey is the light on each post, 0 dark to 255 full.
	Grey []uint8
	// Known is false where no shading can be told; such posts are to be left transparent.
	Known []bool
}

// Hillshade lights a field: the cosine between the ground and each sun, shadow thrown by other
// ground not counted. Slopes are Horn's weighted differences (Proceedings of the IEEE 69, 1981),
// heights multiplied by exaggerate (1 is true). Posts of the edge take the slope from the posts inside.
// A post whose nine posts are not all known is unknown. dst is reused when large enough. Nil suns
// take OneSun.
func Hillshade(dst Shade, f Field, suns []Sun, exaggerate float64) Shade {
	if suns == nil {
		suns = OneSun
	}
	dst.Cols, dst.Rows = f.Cols, f.Rows
	n := f.Cols * f.Rows
	if cap(dst.Grey) < n {
		dst.Grey, dst.Known = make([]uint8, n), make([]bool, n)
	}
	dst.Grey, dst.Known = dst.Grey[:n], dst.Known[:n]
	type ray struct{ e, n, u, w float32 }
	rays := make([]ray, len(suns))
	sum := 0.0
	for _, s := range suns {
		sum += s.Weight
	}
	for i, s := range suns {
		sa, ca := math.Sincos(s.AzimuthDeg * math.Pi / 180)
		sh, ch := math.Sincos(s.AltitudeDeg * math.Pi / 180)
		w := s.Weight / sum
		rays[i] = ray{float32(sa * ch), float32(ca * ch), float32(sh), float32(w)}
	}
	kx, ky := float32(exaggerate/(8*f.EastM)), float32(exaggerate/(8*f.NorthM))
	for r := range f.Rows {
		r0, r1, r2 := f.rowAt(r-1), f.rowAt(r), f.rowAt(r+1)
		// At the north and south edge the differences reach over one cell instead of two.
		kyr := ky
		if r == 0 || r == f.Rows-1 {
			kyr *= 2
		}
		grey, known := dst.Grey[r*f.Cols:][:f.Cols], dst.Known[r*f.Cols:][:f.Cols]
		shadeAt := func(c, w, x int, kxc float32) {
			east := (r0[x] + 2*r1[x] + r2[x] - r0[w] - 2*r1[w] - r2[w]) * kxc
			north := (r0[w] + 2*r0[c] + r0[x] - r2[w] - 2*r2[c] - r2[x]) * kyr
			if k := east + north + r1[c]; k != k {
				grey[c], known[c] = 0, false
				return
			}
			inv := 255 / float32(math.Sqrt(float64(1+east*east+north*north)))
			var light float32
			for _, y := range rays {
				if v := y.u - y.e*east - y.n*north; v > 0 {
					light += v * y.w
				}
			}
			grey[c], known[c] = uint8(min(light*inv+0.5, 255)), true
		}
		shadeAt(0, 0, 1, 2*kx)
		for c := 1; c < f.Cols-1; c++ {
			shadeAt(c, c-1, c+1, kx)
		}
		shadeAt(f.Cols-1, f.Cols-2, f.Cols-1, 2*kx)
	}
	return dst
}

// rowAt is a row of heights, the edge rows standing for those beyond.
func (f *Field) rowAt(r int) []float32 {
	r = min(max(r, 0), f.Rows-1)
	return f.HeightM[r*f.Cols:][:f.Cols]
}
