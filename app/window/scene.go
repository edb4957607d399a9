package window

import (
	"path/filepath"

	"lastroad/app/papers"
	"lastroad/app/plot"
	"lastroad/app/trip"
	"lastroad/geo/osm"
)

// buildScene prepares what the map shows of a document.
func buildScene(d *trip.Document, kept func(*osm.Way) bool) *plot.Scene {
	if d.Demo {
		return papers.Scene(d, kept, tr("Invented ground"))
	}
	return papers.Scene(d, kept)
}

func baseName(path string) string { return filepath.Base(path) }
