package window

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"

	"lastroad/app/plot"
)

// look is the program's theme: warm paper by day, slate by night, violet for what can be acted on, and
// less room between things than usual, since much is on the screen at once.
type look struct {
	fyne.Theme
	forced   string // "light", "dark"; else the system's choice
	textSize float32
}

func newLook(s Settings) *look {
	return &look{Theme: theme.DefaultTheme(), forced: s.Theme, textSize: s.TextSize}
}

// dark reports whether the dark variant is shown.
func (l *look) dark(v fyne.ThemeVariant) bool {
	switch l.forced {
	case "light":
		return false
	case "dark":
		return true
	}
	return v == theme.VariantDark
}

func rgb(v uint32) color.NRGBA {
	return color.NRGBA{uint8(v >> 16), uint8(v >> 8), uint8(v), 255}
}

func withAlpha(c color.NRGBA, a uint8) color.NRGBA { c.A = a; return c }

// names holds the light and the dark colour of each role.
var colors = map[fyne.ThemeColorName][2]color.NRGBA{
	theme.ColorNameBackground:          {rgb(0xfbf9f4), rgb(0x1b1d20)},
	theme.ColorNameForeground:          {rgb(0x2a292d), rgb(0xece8e0)},
	theme.ColorNamePrimary:             {rgb(0x5b3fa0), rgb(0xb9a4f0)},
	theme.ColorNameForegroundOnPrimary: {rgb(0xffffff), rgb(0x1c1530)},
	theme.ColorNameHyperlink:           {rgb(0x5b3fa0), rgb(0xb9a4f0)},
	theme.ColorNameButton:              {rgb(0xece7dc), rgb(0x2f3236)},
	theme.ColorNameDisabledButton:      {rgb(0xf1eee6), rgb(0x26292c)},
	theme.ColorNameDisabled:            {rgb(0x8f8a81), rgb(0x7d7f83)},
	theme.ColorNamePlaceHolder:         {rgb(0x6f6a63), rgb(0x9a9890)},
	theme.ColorNameInputBackground:     {rgb(0xffffff), rgb(0x25282c)},
	theme.ColorNameInputBorder:         {rgb(0xc6bfb2), rgb(0x4a4e54)},
	theme.ColorNameMenuBackground:      {rgb(0xffffff), rgb(0x24272b)},
	theme.ColorNameOverlayBackground:   {rgb(0xffffff), rgb(0x24272b)},
	theme.ColorNameHeaderBackground:    {rgb(0xf2eee5), rgb(0x23262a)},
	theme.ColorNameSeparator:           {rgb(0xdfd9cd), rgb(0x383c41)},
	theme.ColorNameHover:               {withAlpha(rgb(0x5b3fa0), 24), withAlpha(rgb(0xb9a4f0), 32)},
	theme.ColorNamePressed:             {withAlpha(rgb(0x5b3fa0), 56), withAlpha(rgb(0xb9a4f0), 64)},
	theme.ColorNameFocus:               {withAlpha(rgb(0x5b3fa0), 130), withAlpha(rgb(0xb9a4f0), 150)},
	theme.ColorNameSelection:           {withAlpha(rgb(0x5b3fa0), 46), withAlpha(rgb(0xb9a4f0), 56)},
	theme.ColorNameScrollBar:           {withAlpha(rgb(0x2a292d), 90), withAlpha(rgb(0xece8e0), 90)},
	theme.ColorNameShadow:              {withAlpha(rgb(0x1c1a22), 40), withAlpha(rgb(0x000000), 110)},
	theme.ColorNameError:               {rgb(0xb3261e), rgb(0xff8a7a)},
	theme.ColorNameWarning:             {rgb(0x8a5200), rgb(0xf2b861)},
	theme.ColorNameSuccess:             {rgb(0x0b5d57), rgb(0x7ad9cb)},
}

// Color implements fyne.Theme.
func (l *look) Color(name fyne.ThemeColorName, v fyne.ThemeVariant) color.Color {
	k, variant := 0, theme.VariantLight
	if l.dark(v) {
		k, variant = 1, theme.VariantDark
	}
	if c, ok := colors[name]; ok {
		if name == theme.ColorNameForeground {
			return ink{c[k]}
		}
		return c[k]
	}
	return l.Theme.Color(name, variant)
}

// ink is an opaque colour of letters. Menus write the keys in it with 95 % of its alpha, of which the toolkit takes
// the lower byte alone: of a plain colour a fifth is left, which nobody can read. An alpha that is less by a five
// hundredth, which no eye sees, leaves them three quarters.
type ink struct{ color.NRGBA }

// RGBA implements color.Color.
func (c ink) RGBA() (r, g, b, a uint32) {
	return uint32(c.R) * 0x101, uint32(c.G) * 0x101, uint32(c.B) * 0x101, 0xff85
}

// Size implements fyne.Theme.
func (l *look) Size(name fyne.ThemeSizeName) float32 {
	switch name {
	case theme.SizeNameText:
		return 13 * l.textSize
	case theme.SizeNameSubHeadingText:
		return 16 * l.textSize
	case theme.SizeNameHeadingText:
		return 21 * l.textSize
	case theme.SizeNameCaptionText:
		return 11 * l.textSize
	case theme.SizeNamePadding:
		return 3
	case theme.SizeNameInnerPadding:
		return 5
	case theme.SizeNameInputRadius, theme.SizeNameSelectionRadius:
		return 4
	case theme.SizeNameInlineIcon:
		return 18 * l.textSize
	}
	return l.Theme.Size(name)
}

// palette is the pictures' palette that goes with the theme now shown.
func palette() *plot.Palette {
	if l, ok := fyne.CurrentApp().Settings().Theme().(*look); ok && l.dark(fyne.CurrentApp().Settings().ThemeVariant()) {
		return darkPalette
	}
	return lightPalette
}

var lightPalette, darkPalette = plot.Light(), plot.Dark()
