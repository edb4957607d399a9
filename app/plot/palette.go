package plot

import (
	"image/color"

	"lastroad/geo"
)

// Palette are the colours of a picture. The ground is kept pale (dark: deep) and earthy so that the
// route, whose colours mean something, is the only strong thing in it.
type Palette struct {
	Dark bool

	Ground  color.NRGBA // where the region says nothing
	Outside color.NRGBA // beyond the region's data
	Area    [numCovers]color.NRGBA
	Shore   color.NRGBA
	Water   color.NRGBA // lines and names of water
	Contour color.NRGBA
	Shade   color.NRGBA // hillshade: away from the light
	Lit     color.NRGBA // towards the light

	RoadCase color.NRGBA
	Road     color.NRGBA
	Track    color.NRGBA
	Path     color.NRGBA

	Ink     color.NRGBA // names and axes
	SoftInk color.NRGBA // lesser names
	Halo    color.NRGBA
	Paper   color.NRGBA // behind symbols and bands
	Line    color.NRGBA // hair lines of the strip
	Unknown color.NRGBA // what is not known
	Case    color.NRGBA // round the route
	Chosen  color.NRGBA // round the chosen leg
	WayOut  color.NRGBA
	Hover   color.NRGBA
	Help    color.NRGBA // symbols of help
	Accent  color.NRGBA
	Warn    color.NRGBA    // stops and shortfalls
	Sky     [3]color.NRGBA // day, twilight, night
	Classes [geo.NumGrounds]color.NRGBA
}

func hex(v uint32) color.NRGBA {
	return color.NRGBA{uint8(v >> 16), uint8(v >> 8), uint8(v), 255}
}

// Light is the palette for light windows and for paper.
func Light() *Palette {
	return &Palette{
		Ground: hex(0xf4f1e9), Outside: hex(0xe6e3dc),
		Area: [numCovers]color.NRGBA{
			CoverWood: hex(0xd2ddc4), CoverScrub: hex(0xe2e4cb), CoverGrass: hex(0xe8ecd4), CoverFarm: hex(0xf0ebd4),
			CoverRock: hex(0xdcd8d2), CoverScree: hex(0xe7e3dc), CoverSand: hex(0xf5e8c6), CoverSalt: hex(0xf3f1f6),
			CoverWet: hex(0xd3e2dc), CoverIce: hex(0xe8f2f7), CoverBuilt: hex(0xe0d6d2), CoverDug: hex(0xe2dad6),
			CoverWater: hex(0xaecbd9),
		},
		Shore: hex(0x86a9bb), Water: hex(0x5488a3), Contour: fade(hex(0x9a7b58), 0.5),
		Shade: hex(0x3a3550), Lit: hex(0xfffbe8),
		RoadCase: hex(0x8d857d), Road: hex(0xffffff), Track: hex(0x8a6a48), Path: hex(0xa39383),
		Ink: hex(0x2c2b2f), SoftInk: hex(0x6b6762), Halo: fade(hex(0xfcfaf5), 0.86), Paper: hex(0xfdfcf9), Line: hex(0xd9d4cb),
		Unknown: hex(0x9a9a9e), Case: hex(0x221d2c), Chosen: hex(0xffffff), WayOut: hex(0x0b5d57), Hover: hex(0x111111),
		Help: hex(0x1f5c7a), Accent: hex(0x5b3fa0), Warn: hex(0xb3261e),
		Sky: [3]color.NRGBA{hex(0xf3e3a6), hex(0xb9a6c4), hex(0x3e4262)},
		Classes: [geo.NumGrounds]color.NRGBA{
			geo.Unknown: hex(0xd0cfd2), geo.Sealed: hex(0x4c5158), geo.Gravel: hex(0x868c93), geo.FirmTrack: hex(0xb08d63),
			geo.Clay: hex(0xc08457), geo.Mud: hex(0x6d4c33), geo.Sand: hex(0xe9c46a), geo.LooseRock: hex(0xa79fb3),
			geo.LedgeRock: hex(0x71678a), geo.Scrub: hex(0xa9b06b), geo.Grass: hex(0x86a860), geo.Snow: hex(0xdcebf5),
			geo.Salt: hex(0xf1edf6), geo.Ford: hex(0x4d8fb3),
		},
	}
}

// Dark is the palette for dark windows.
func Dark() *Palette {
	return &Palette{
		Dark:   true,
		Ground: hex(0x25282b), Outside: hex(0x1c1e20),
		Area: [numCovers]color.NRGBA{
			CoverWood: hex(0x27342a), CoverScrub: hex(0x2d3228), CoverGrass: hex(0x2c3429), CoverFarm: hex(0x312f27),
			CoverRock: hex(0x383a3d), CoverScree: hex(0x313336), CoverSand: hex(0x3d3728), CoverSalt: hex(0x3a3a42),
			CoverWet: hex(0x22353a), CoverIce: hex(0x39464e), CoverBuilt: hex(0x3d3535), CoverDug: hex(0x36302f),
			CoverWater: hex(0x1c3d50),
		},
		Shore: hex(0x2f6079), Water: hex(0x5c9cba), Contour: fade(hex(0xc9a67c), 0.3),
		Shade: hex(0x000000), Lit: hex(0xcfc6a8),
		RoadCase: hex(0x131516), Road: hex(0xb7b1a7), Track: hex(0xac8c63), Path: hex(0x7f7467),
		Ink: hex(0xece8e0), SoftInk: hex(0xa9a49b), Halo: fade(hex(0x191b1d), 0.86), Paper: hex(0x1d1f22), Line: hex(0x3c4044),
		Unknown: hex(0x84868b), Case: hex(0x0d0b12), Chosen: hex(0xffffff), WayOut: hex(0x7ad9cb), Hover: hex(0xffffff),
		Help: hex(0x8cc6e3), Accent: hex(0xb9a4f0), Warn: hex(0xff8a7a),
		Sky: [3]color.NRGBA{hex(0xcdb666), hex(0x76688a), hex(0x14162a)},
		Classes: [geo.NumGrounds]color.NRGBA{
			geo.Unknown: hex(0x54565a), geo.Sealed: hex(0xc4cad2), geo.Gravel: hex(0x8e959d), geo.FirmTrack: hex(0xb08d63),
			geo.Clay: hex(0xb9784b), geo.Mud: hex(0x7d5940), geo.Sand: hex(0xd9b45c), geo.LooseRock: hex(0x9d94ab),
			geo.LedgeRock: hex(0x766b93), geo.Scrub: hex(0x98a05c), geo.Grass: hex(0x789a53), geo.Snow: hex(0xd3e4f0),
			geo.Salt: hex(0xe0dbe8), geo.Ford: hex(0x4f95bb),
		},
	}
}
