package recovery

import "strings"

// A Range is what may be given for a figure, both ends allowed, in the unit that its name tells.
type Range struct{ Low, High float64 }

func (l limit) public() Range { return Range{l.lo, l.hi} }

// Allowed are the ranges outside which [Tables.Plan] fails, so that an entry field can name them beside
// itself before anything is worked out.
var Allowed = struct {
	MassKg, Grade, ForceKN, RopeMM, DrumMM, LineM, DistanceM, TravelM, AngleDeg, GearM, SheaveMM, TrunkMM, FaceM, LogM, Amps, BatteryAh Range
}{rangeMass.public(), rangeGrade.public(), rangeForce.public(), rangeRope.public(), rangeDrum.public(), rangeLine.public(), rangeDistance.public(),
	rangeTravel.public(), rangeDeg.public(), rangeGear.public(), rangeSheave.public(), rangeTrunk.public(), rangeFace.public(), rangeLog.public(),
	rangeAmps.public(), rangeBattery.public()}

// Soils are the names of the soils that anchors are reckoned in, in order.
func (t *Tables) Soils() []string { return sortedKeys(t.Soil) }

// Groups are the arrangements of pickets for which a figure is published in a soil, in the table's order.
func (t *Tables) Groups(soil string) (out []string) {
	for _, p := range t.Picket {
		if s, group, ok := strings.Cut(p.Key, ":"); ok && (s == soil || s == "soil" && soil == "loam") {
			out = append(out, group)
		}
	}
	return out
}

// DeadmanDepth is the mean depths of a buried anchor that something is known for: the least is refused
// below, and below Known it is read beyond the published rows.
func (t *Tables) DeadmanDepth() (least, known float64) {
	return t.Deadman.Least.Central, t.Deadman.DepthM[0]
}
