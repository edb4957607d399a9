package bench

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os/exec"

	"gonum.org/v1/gonum/stat/distuv"

	"lastroad/risk/coverage"
)

// manyTroubles is a trip of 40 pieces with 25 kinds of trouble on each, ten troubles a trip on the mean, and one
// remedy for each kind that works two times in three.
func manyTroubles() (*coverage.Model, []float64) {
	m := &coverage.Model{Omega: 0.3, OmegaInput: -1, HelpInput: -1, Common: -1}
	rng := rand.New(rand.NewPCG(9, 9))
	for e := range 25 {
		m.Things = append(m.Things, coverage.Thing{Chance: 0.9, Together: 0.9})
		m.Classes = append(m.Classes, coverage.Class{BetaInput: -1, PartnerInput: -1, Atoms: []int32{int32(e)},
			Solo: []coverage.Recipe{{Chance: 2.0 / 3, Scale: 1, Input: -1, Needs: []uint16{1}}}})
		m.Events = append(m.Events, coverage.Event{})
	}
	var means []float64
	for range 40 {
		p := coverage.Piece{First: len(m.Cells), Floor: 0.001}
		p.Help[0] = coverage.Help{MedianH: 20, EF: 3, DelayH: 1, TauH: 72}
		p.Help[1] = p.Help[0]
		for e := range 25 {
			v := 0.02 * rng.Float64()
			means = append(means, v)
			m.Cells = append(m.Cells, coverage.Cell{Event: int32(e), Class: int32(e), Mean: v, Worst: v})
		}
		p.Last = len(m.Cells)
		m.Pieces = append(m.Pieces, p)
	}
	return m, means
}

// draws counts the troubles of many trips with both; ours also plays each trouble with its remedy and help, in the
// order of the pieces.
func (l *lab) draws() error {
	const trips = 20_000
	m, means := manyTroubles()
	if err := m.Check(); err != nil {
		return err
	}
	expected := 0.0
	for _, v := range means {
		expected += v
	}
	var ours, theirs []float64
	var s coverage.Simulation
	var err error
	round := func() error {
		ours = append(ours, 1e9*oneCore(func() { s, err = coverage.Simulate(context.Background(), m, trips, 1) })/trips/float64(len(means)))
		return err
	}
	// Counts of trips have the Poisson spread: five standard errors.
	bound := 5 * math.Sqrt(expected/trips)
	agree := func(who string, mean float64) error {
		if math.Abs(mean-expected) > bound || math.Abs(s.Events-expected) > bound {
			return fmt.Errorf("a trip has %.3f troubles by ours and %.3f by %s, expected are %.3f", s.Events, mean, who, expected)
		}
		return nil
	}
	add := func(who string) {
		l.add(row{work: fmt.Sprintf("troubles of %d trips over %d cells, drawn", trips, len(means)), how: "a cell, in process, one core; ours with remedies and help", unit: "ns", ours: median(ours), peer: median(theirs), who: who, goal: 0.3,
			check: "mean number, within 5 standard errors"})
		ours, theirs = nil, nil
	}

	src := rand.NewPCG(1, 2)
	dist := make([]distuv.Poisson, len(means))
	for i, v := range means {
		dist[i] = distuv.Poisson{Lambda: v, Src: src}
	}
	for range l.rounds {
		if err := round(); err != nil {
			return err
		}
		total := 0.0
		theirs = append(theirs, 1e9*oneCore(func() {
			for range trips {
				for i := range dist {
					total += dist[i].Rand()
				}
			}
		})/trips/float64(len(means)))
		if err := agree("gonum", total/trips); err != nil {
			return err
		}
	}
	add("gonum distuv.Poisson")

	who := "numpy " + version("python3-numpy") + ", Generator.poisson"
	if _, err := exec.Command(python(), "-c", "import numpy").Output(); err != nil {
		return l.skip("troubles of many trips", who, "python3 with numpy is not installed")
	}
	script, err := l.peer("draws.py")
	if err != nil {
		return err
	}
	if err := writeFloats(l.file("means"), means); err != nil {
		return err
	}
	for range l.rounds {
		if err := round(); err != nil {
			return err
		}
		v, err := numbers(2, python(), script, l.file("means"), fmt.Sprint(trips))
		if err != nil {
			return err
		}
		theirs = append(theirs, 1e9*v[0]/trips/float64(len(means)))
		if err := agree("numpy", v[1]/trips); err != nil {
			return err
		}
	}
	add(who)
	return nil
}
