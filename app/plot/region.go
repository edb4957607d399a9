package plot

import (
	"strconv"
	"strings"

	"lastroad/geo/osm"
)

// coverOf is what each kind of ground cover is painted as; kinds left out are not painted.
var coverOf = map[osm.AreaKind]Cover{
	osm.Wood: CoverWood, osm.Scrub: CoverScrub, osm.Heath: CoverScrub, osm.Grassland: CoverGrass, osm.Meadow: CoverGrass,
	osm.Farmland: CoverFarm, osm.Orchard: CoverFarm, osm.Scree: CoverScree, osm.Shingle: CoverScree, osm.BareRock: CoverRock,
	osm.Sand: CoverSand, osm.Beach: CoverSand, osm.Desert: CoverSand, osm.Mud: CoverWet, osm.Wetland: CoverWet,
	osm.Water: CoverWater, osm.Glacier: CoverIce, osm.SaltFlat: CoverSalt, osm.BuiltUp: CoverBuilt, osm.Quarry: CoverDug,
	osm.Park: CoverGrass,
}

// wayOf is how each value of the highway tag is drawn; others are left out (crossings, rest areas, stairs).
var wayOf = map[string]WayKind{
	"motorway": RoadMain, "trunk": RoadMain, "primary": RoadMain, "motorway_link": RoadMain, "trunk_link": RoadMain,
	"primary_link": RoadMain, "secondary": RoadSecondary, "secondary_link": RoadSecondary, "tertiary": RoadTertiary,
	"tertiary_link": RoadTertiary, "unclassified": RoadMinor, "residential": RoadMinor, "living_street": RoadMinor,
	"road": RoadMinor, "service": RoadService, "track": WayTrack, "path": WayPath, "bridleway": WayPath,
	"footway": WayPath, "cycleway": WayPath, "pedestrian": WayPath,
}

// nameOf is the rank of a settlement by its place tag.
var nameOf = map[string]NameKind{
	"city": NameCity, "town": NameTown, "village": NameVillage, "hamlet": NameHamlet, "isolated_dwelling": NameHamlet,
	"farm": NameHamlet,
}

// FromRegion gives what the map shows of a region. kept says whether a way counts as a maintained road;
// nil takes every way from service road up for one. A nil region gives empty ground.
func FromRegion(r *osm.Region, kept func(*osm.Way) bool) *Ground {
	g := &Ground{}
	if r == nil {
		return g
	}
	g.Help, g.Outline = r.Places, r.Outline
	g.Credit = append(g.Credit, r.Credit...)
	if len(g.Credit) == 0 {
		g.Credit = []string{osm.Credit}
	}
	for i := range r.Areas {
		a := &r.Areas[i]
		if c, ok := coverOf[a.Kind]; ok {
			g.Areas = append(g.Areas, GroundArea{c, a.Polygons})
		}
		if n := a.Tags.Get("name"); n != "" && a.Kind == osm.Water {
			g.Names = append(g.Names, GroundName{Kind: NameWater, Name: n, At: a.Bound.Center()})
		}
	}
	for i := range r.Ways {
		w := &r.Ways[i]
		k, ok := wayOf[w.Highway()]
		if !ok {
			continue
		}
		keep := k >= RoadService
		if kept != nil {
			keep = kept(w)
		}
		name := w.Tags.Get("name")
		if name == "" {
			name = w.Tags.Get("ref")
		}
		g.Ways = append(g.Ways, GroundWay{Kind: k, Kept: keep, Line: w.Line, Name: name})
	}
	for _, l := range r.Waterways {
		k := LineStream
		switch {
		case l.Intermittent || l.Kind == osm.Wadi:
			k = LineDry
		case l.Kind == osm.River || l.Kind == osm.Canal:
			k = LineRiver
		case l.Kind == osm.Coastline:
			continue
		}
		g.Streams = append(g.Streams, GroundLine{Kind: k, Line: l.Line, Name: l.Tags.Get("name")})
	}
	for _, l := range r.Cliffs {
		g.Streams = append(g.Streams, GroundLine{Kind: LineCliff, Line: l.Line})
	}
	for _, n := range r.Nodes {
		kind := NamePeak
		switch n.Kind {
		case osm.NodePass:
			kind = NamePass
		case osm.NodePeak:
		default:
			continue
		}
		ele, _ := strconv.ParseFloat(strings.TrimSuffix(n.Tags.Get("ele"), " m"), 64)
		if name := n.Tags.Get("name"); name != "" || ele != 0 {
			g.Names = append(g.Names, GroundName{Kind: kind, Name: name, At: n.At, HeightM: ele})
		}
	}
	for _, p := range r.Places {
		v, ok := strings.CutPrefix(p.Tag, "place=")
		if k, known := nameOf[v]; ok && known && p.Name != "" {
			g.Names = append(g.Names, GroundName{Kind: k, Name: p.Name, At: p.At})
		}
	}
	return g
}
