package recovery

import (
	"fmt"
	"math"
)

// TackleModel says what sheaves cost. The zero value is the US Army rule: 10 % of the load resistance
// for each sheave. With Efficiency set, each sheave passes that share of the tension on instead.
type TackleModel struct {
	PerSheave  float64 `json:"per_sheave,omitempty"`
	Efficiency float64 `json:"efficiency,omitempty"`
}

func (m TackleModel) check() error {
	if m.PerSheave != 0 && m.Efficiency != 0 {
		return refuse("tackle model", "both a loss per sheave and an efficiency are given", "give one")
	}
	if m.PerSheave != 0 {
		return limit{0.001, 0.5, "per sheave"}.check("tackle loss", m.PerSheave)
	}
	if m.Efficiency != 0 {
		return limit{0.5, 1, "per sheave"}.check("tackle efficiency", m.Efficiency)
	}
	return nil
}

// Tackle is a tackle at work. Forces in kN.
type Tackle struct {
	LoadKN     float64 `json:"load_kn"`
	Advantage  int     `json:"advantage"`
	Sheaves    int     `json:"sheaves"`
	LossKN     float64 `json:"loss_kn"` // tackle resistance
	TotalKN    float64 `json:"total_kn"`
	FallLineKN float64 `json:"fall_line_kn"` // in the line at the winch
}

// DeadLineKN is the force in a dead line that holds the given number of winch lines.
func (k Tackle) DeadLineKN(lines int) float64 { return k.FallLineKN * float64(lines) }

// Tackle works out the fall line for a load on so many parts of line over so many sheaves; sheaves
// beyond advantage-1 only change the direction. Under the default rule the loss is 10 % of the load per
// sheave and the fall line (load + loss)/advantage; under the efficiency rule the parts of line carry
// 1, e, e^2... of the fall line. It panics when advantage is below 1 or sheaves below advantage-1.
func (t *Tables) Tackle(loadKN float64, advantage, sheaves int, m TackleModel) Tackle {
	if advantage < 1 || sheaves < advantage-1 {
		panic(fmt.Sprintf("recovery: no tackle has advantage %d with %d sheaves", advantage, sheaves))
	}
	k := Tackle{LoadKN: loadKN, Advantage: advantage, Sheaves: sheaves}
	if e := m.Efficiency; e > 0 {
		parts, p := 0.0, math.Pow(e, float64(sheaves-(advantage-1)))
		for range advantage {
			parts += p
			p *= e
		}
		k.FallLineKN = loadKN / parts
		k.TotalKN = k.FallLineKN * float64(advantage)
		k.LossKN = k.TotalKN - loadKN
		return k
	}
	rate := m.PerSheave
	if rate == 0 {
		rate = t.Sheave["per_sheave"].Central
	}
	k.LossKN = rate * loadKN * float64(sheaves)
	k.TotalKN = loadKN + k.LossKN
	k.FallLineKN = k.TotalKN / float64(advantage)
	return k
}

// Advantage is the number of parts of line that a load asks of a winch: load over capacity, rounded up.
// It gives 0 when the capacity is not above zero.
func Advantage(loadKN, winchKN float64) int {
	if !(winchKN > 0) || !(loadKN >= 0) {
		return 0
	}
	return max(1, int(math.Ceil(loadKN/winchKN-1e-12)))
}

// BlockLoad is the load on a block whose two legs, at tension, open by angleDeg: 2 T cos(angle/2).
// 0 degrees means parallel legs, 180 a straight line.
func BlockLoad(tension, angleDeg float64) float64 {
	return tension * 2 * math.Cos(angleDeg*math.Pi/360)
}

// LegLoad is the force in one leg of a sling or bridle that carries share of the load, at an angle
// above the horizontal (or off the straight line's square): share/sin(angle).
func LegLoad(share, angleDeg float64) float64 { return share / math.Sin(angleDeg*math.Pi/180) }

// BridleLeg is the force in each leg of a bridle whose legs open by angleDeg: F / (2 cos(angle/2)).
func BridleLeg(force, angleDeg float64) float64 {
	return force / (2 * math.Cos(angleDeg*math.Pi/360))
}
