//go:build deps

// Package main: blank imports that keep the agreed libraries in go.mod while packages are being written.
package main

import (
	_ "codeberg.org/go-pdf/fpdf"
	_ "fyne.io/fyne/v2"
	_ "fyne.io/fyne/v2/app"
	_ "fyne.io/fyne/v2/test"
	_ "fyne.io/fyne/v2/widget"
	_ "github.com/adrg/xdg"
	_ "github.com/alecthomas/kong"
	_ "github.com/gofrs/flock"
	_ "github.com/google/go-cmp/cmp"
	_ "github.com/google/renameio/v2/maybe"
	_ "github.com/klauspost/compress/zlib"
	_ "github.com/paulmach/orb"
	_ "github.com/paulmach/osm/osmpbf"
	_ "github.com/paulmach/osm/osmxml"
	_ "github.com/pelletier/go-toml/v2"
	_ "github.com/tidwall/rtree"
	_ "github.com/tkrajina/gpxgo/gpx"
	_ "github.com/xuri/excelize/v2"
	_ "golang.org/x/crypto/md4"
	_ "golang.org/x/image/font/gofont/goregular"
	_ "golang.org/x/image/font/opentype"
	_ "golang.org/x/image/tiff/lzw"
	_ "golang.org/x/image/vector"
	_ "golang.org/x/text/message"
	_ "gonum.org/v1/gonum/stat/distuv"
	_ "google.golang.org/protobuf/proto"
	_ "pgregory.net/rapid"
)
