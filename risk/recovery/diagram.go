package recovery

import (
	"fmt"
	"math"
)

// Diagram is the drawing of a rig in abstract units: the pull points along +X, the pulled vehicle
// stands at X 0 and the anchor at X 1; Y is across. A picture scales it as it likes.
type Diagram struct {
	Title string        `json:"title"`
	Nodes []DiagramNode `json:"nodes"`
	Legs  []DiagramLeg  `json:"legs"`
	// ClearM is the keep-clear distance to write beside it.
	ClearM float64 `json:"clear_distance_m"`
}

// DiagramNode is a thing in the drawing.
type DiagramNode struct {
	Key     string  `json:"key"`
	Kind    string  `json:"kind"` // vehicle, helper, winch, point, block, anchor
	Label   string  `json:"label"`
	X       float64 `json:"x"`
	Y       float64 `json:"y"`
	ForceKN float64 `json:"force_kn"` // on it; 0 where none is told
}

// DiagramLeg is a stretch of line between two nodes, with its own ends so that parts of line beside
// each other stay apart.
type DiagramLeg struct {
	From     string  `json:"from"`
	To       string  `json:"to"`
	Kind     string  `json:"kind"` // winch_line, extension, strap
	Label    string  `json:"label"`
	X1       float64 `json:"x1"`
	Y1       float64 `json:"y1"`
	X2       float64 `json:"x2"`
	Y2       float64 `json:"y2"`
	ForceKN  float64 `json:"force_kn"`
	AngleDeg float64 `json:"angle_deg"` // from +X, counted towards +Y
}

// Diagram lays the rig out for drawing; a Working without a winch gives a diagram without nodes.
func (w *Working) Diagram() Diagram {
	d := Diagram{Title: w.Rig.Title, ClearM: w.ClearM}
	if w.Rig.Key == "" {
		return d
	}
	node := func(key, kind, label string, x, y, force float64) DiagramNode {
		n := DiagramNode{key, kind, label, x, y, force}
		d.Nodes = append(d.Nodes, n)
		return n
	}
	leg := func(kind string, a, b DiagramNode, y1, y2, force float64) {
		l := DiagramLeg{From: a.Key, To: b.Key, Kind: kind, X1: a.X, Y1: y1, X2: b.X, Y2: y2, ForceKN: force,
			Label: fmt.Sprintf("%.1f kN", force), AngleDeg: math.Atan2(y2-y1, b.X-a.X) * 180 / math.Pi}
		d.Legs = append(d.Legs, l)
	}
	T := w.Tackle.FallLineKN
	if w.Rig.Turn {
		w.drawTurn(node, leg)
		return d
	}
	// The winch's side is "near": on the stuck vehicle at X 0, or on the helper at X 1.
	nearX, farX, step := 0.0, 1.0, 1.0
	nearKind, nearLabel, farKind, farLabel := "vehicle", "stuck vehicle, own winch", "anchor", w.Anchor.Title
	if w.Rig.Helper {
		nearX, farX, step = 1, 0, -1
		nearKind, nearLabel, farKind, farLabel = "helper", w.Anchor.Title+", winch", "vehicle", "stuck vehicle"
	}
	farLines, farBlocks, _ := w.Rig.far()
	nearLines, nearBlocks, _ := w.Rig.near()
	near := node("near", nearKind, nearLabel, nearX, 0, w.Tackle.DeadLineKN(nearLines+1))
	far := node("far", farKind, farLabel, farX, 0, w.Tackle.DeadLineKN(farLines))
	const gap = 0.08 // between parts of line
	parts := w.Rig.Advantage
	y := func(p int) float64 { return (float64(p) - float64(parts-1)/2) * gap }
	winch := node("winch", "winch", fmt.Sprintf("winch, %.1f kN", T), nearX+0.04*step, y(0), T)
	hold := farX - 0.10*step
	if w.Line.DistanceM > 0 {
		hold -= step * min(0.6, w.Line.ExtensionM/w.Line.DistanceM)
	}
	blocks := map[string]DiagramNode{}
	for i := range farBlocks {
		blocks[fmt.Sprint("far", i)] = node(fmt.Sprintf("block_far_%d", i+1), "block", fmt.Sprintf("block, %.1f kN", 2*T), hold, (y(2*i)+y(2*i+1))/2, 2*T)
	}
	for i := range nearBlocks {
		blocks[fmt.Sprint("near", i)] = node(fmt.Sprintf("block_near_%d", i+1), "block", fmt.Sprintf("block, %.1f kN", 2*T), nearX+0.10*step, (y(2*i+1)+y(2*i+2))/2, 2*T)
	}
	end := func(side string, i, p int) DiagramNode {
		if n, ok := blocks[fmt.Sprint(side, i)]; ok {
			return n
		}
		x, label := hold, "line end at the "+farLabel
		if side == "near" {
			x, label = nearX+0.04*step, "line end at the "+nearLabel
		}
		return node("line_end", "point", label, x, y(p), T)
	}
	from := winch
	for p := range parts {
		side, i := "far", p/2
		if p%2 == 1 {
			side, i = "near", (p-1)/2
		}
		to := end(side, i, p)
		leg("winch_line", from, to, y(p), y(p), T)
		from = to
	}
	kind := "strap"
	if w.Line.ExtensionM > 0 {
		kind = "extension"
	}
	for _, n := range d.Nodes {
		onFar := n.Kind == "block" && n.X == hold || n.Key == "line_end" && n.X == hold
		onNear := n.Kind == "block" && n.X != hold
		switch {
		case onFar:
			leg(kind, n, far, n.Y, far.Y, n.ForceKN)
		case onNear:
			leg("strap", n, near, n.Y, near.Y, n.ForceKN)
		}
	}
	return d
}

// drawTurn draws the single line round a turning block. The block's anchor lies outside, on the line
// that halves the angle.
func (w *Working) drawTurn(node func(key, kind, label string, x, y, force float64) DiagramNode, leg func(kind string, a, b DiagramNode, y1, y2, force float64)) {
	T, hold := w.Tackle.FallLineKN, w.TurnHold
	pulled, other, otherKind := "stuck vehicle, own winch", w.Anchor.Title, "anchor"
	if w.Rig.Helper {
		pulled, other, otherKind = "stuck vehicle", w.Anchor.Title+", winch", "helper"
	}
	load := hold.NeedKN
	half := 0.0
	if T > 0 {
		half = math.Acos(clamp(load/(2*T), 0, 1)) // half of the angle between the legs
	}
	a := node("near", "vehicle", pulled, 0, 0, T)
	b := node("block_turn", "block", fmt.Sprintf("turning block, %.1f kN", load), 0.6, 0, load)
	out := math.Pi - 2*half
	c := node("far", otherKind, other, 0.6+0.5*math.Cos(out), 0.5*math.Sin(out), T)
	// The legs pull towards the half of (180 degrees, out); the anchor stands opposite.
	back := math.Pi - half + math.Pi
	e := node("turn_anchor", "anchor", hold.Title, 0.6+0.3*math.Cos(back), 0.3*math.Sin(back), load)
	leg("winch_line", a, b, a.Y, b.Y, T)
	leg("winch_line", b, c, b.Y, c.Y, T)
	leg("strap", b, e, b.Y, e.Y, load)
}
