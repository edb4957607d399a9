package window

import (
	"fyne.io/fyne/v2"

	"lastroad/app/plot"
)

// Settings are the user's choices for the window; they belong to the person and not to a trip.
type Settings struct {
	Theme    string  // "system", "light", "dark"
	Units    string  // "metric", "us", "imperial"
	TextSize float32 // 1 = as designed
}

// DefaultSettings are those of a first start.
func DefaultSettings() Settings { return Settings{Theme: "system", Units: "metric", TextSize: 1} }

// plotUnits are the units of pictures.
func (s Settings) plotUnits() plot.Units {
	if s.Units == "metric" {
		return plot.Metric
	}
	return plot.Imperial
}

// The keys of the preferences.
const (
	prefTheme   = "theme"
	prefUnits   = "units"
	prefText    = "text_size"
	prefWidth   = "window_width"
	prefHeight  = "window_height"
	prefFolder  = "last_folder"
	prefRecents = "recent_files"
	prefSeen    = "tour_seen"
	prefPicture = "picture_size"
	prefDots    = "picture_dots"
)

// readSettings takes what is valid from the preferences and the default for the rest.
func readSettings(p fyne.Preferences) Settings {
	s := DefaultSettings()
	switch v := p.String(prefTheme); v {
	case "light", "dark", "system":
		s.Theme = v
	}
	switch v := p.String(prefUnits); v {
	case "metric", "us", "imperial":
		s.Units = v
	}
	if v := float32(p.Float(prefText)); v >= 0.8 && v <= 2 {
		s.TextSize = v
	}
	return s
}

func (s Settings) write(p fyne.Preferences) {
	p.SetString(prefTheme, s.Theme)
	p.SetString(prefUnits, s.Units)
	p.SetFloat(prefText, float64(s.TextSize))
}

// SetSettings changes the settings and tells all screens.
func (p *Presenter) SetSettings(s Settings) {
	if s != p.settings {
		p.settings = s
		p.changed(SettingsChanged)
	}
}

// Settings are the present ones.
func (p *Presenter) Settings() Settings { return p.settings }
