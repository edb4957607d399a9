package osm

// A batch is what the decoding of one stretch of a file (a PBF blob, some thousand XML elements)
// yields. Batches are made by several goroutines and joined in file order, so that the region does not
// depend on who was faster.
type batch struct {
	nodes  nodeChunk
	points []rawNode
	ways   []rawWay
	refs   []int64 // of all ways
	pos    []e7    // of all refs, nowhere where not known
	rels   []rawRelation
	far    []farWay

	counts   FileCounts // as broken only what has more nodes or members than are read
	badNodes int64      // outside the range of coordinates
}

// count is how many ways have a use.
func (b *batch) count(use wayUse) int {
	n := 0
	for i := range b.ways {
		if b.ways[i].use&use != 0 {
			n++
		}
	}
	return n
}

// rawNode is a node that may be a place or a point on the way.
type rawNode struct {
	id   int64
	pos  e7
	tags Tags
}

// wayUse says what a way is kept for; several may hold.
type wayUse uint8

const (
	useWay    wayUse = 1 << iota
	useArea          // an area if it closes
	useLine          // watercourse, cliff
	usePlace         // place of help
	useMember        // part of a wanted relation
	useFar           // no node in the corridor: an area that may lie all round it
)

// farUse is what a way outside the corridor is fetched for: a relation, or to see whether it is an area
// round the corridor.
func farUse(u wayUse) wayUse {
	if u&useArea != 0 {
		return u&useMember | useFar
	}
	return u & useMember
}

// rawWay is a way before its nodes were turned into a line: refs[from:to] and pos[from:to] of its batch.
type rawWay struct {
	id       int64
	tags     Tags
	use      wayUse
	from, to int32
}

// rawRelation is a multipolygon, or another relation that is a place of help.
type rawRelation struct {
	id      int64
	tags    Tags
	members []member
	area    bool // type is multipolygon
	far     bool // no node in the corridor: an area that may lie all round it
}

// farWay is a way without a node in the corridor that wanted relations are made of, or that is an area
// which may lie all round it.
type farWay struct {
	id   int64
	refs int32
	wide bool // an area
}

type memberType uint8

const (
	memberNode memberType = iota
	memberWay
	memberRelation
)

type member struct {
	ref   int64
	kind  memberType
	inner bool // role inner or enclave
}

// useOf says what a way with these tags is kept for, of the parts asked for.
func useOf(t Tags, parts Parts) wayUse {
	var u wayUse
	if parts&Roads != 0 && t.Get("highway") != "" && isWay(t) {
		u |= useWay
	}
	if parts&Areas != 0 && AreaKindOf(t) != AreaNone && t.Get("area") != "no" {
		u |= useArea
	}
	if parts&Lines != 0 && u&useArea == 0 && LineKindOf(t) != LineNone {
		u |= useLine
	}
	if parts&Places != 0 && isPlace(t) {
		u |= usePlace
	}
	return u
}

// isWay reports whether the highway tag stands for something to drive or walk on.
func isWay(t Tags) bool {
	switch t.Get("highway") {
	case "proposed", "construction", "razed", "no", "platform", "rest_area", "services", "elevator", "bus_stop",
		"street_lamp", "traffic_signals", "crossing", "emergency_bay", "passing_place", "escape":
		return false
	}
	return true
}

func isInner(role string) bool { return role == "inner" || role == "enclave" }

// wantRelation reports whether a relation with these tags is wanted: a multipolygon of a kind of
// ground, an old-style one that has no tags but its type (its outer ways have them), or a place. count is the number of all its tags.
func wantRelation(t Tags, count int, parts Parts) (area, want bool) {
	area = t.Get("type") == "multipolygon"
	switch {
	case area && parts&Areas != 0 && AreaKindOf(t) != AreaNone:
		return area, true
	case area && parts&Areas != 0 && count == 1:
		return area, true
	case parts&Places != 0 && isPlace(t):
		return area, true
	}
	return area, false
}
