package risk

import (
	"context"
	"fmt"

	"lastroad/geo"
	"lastroad/risk/catalogue"
	"lastroad/risk/coverage"
)

// SimReport sets the analytic answer beside whole simulated trips.
type SimReport struct {
	Analytic  float64 // readiness of the trip
	Simulated coverage.Simulation
	// Agrees is true when the simulated readiness lies within three standard errors of the analytic one,
	// or above it: the analytic stock rule may only err low.
	Agrees bool
	// Sigmas is the distance in standard errors, positive when the simulation is better.
	Sigmas float64
	// Held is the statement of the check in words, Text the whole answer in two sentences.
	Held string
	Text string
}

// UsualTrips is the usual number of simulated trips.
const UsualTrips = 100_000

// Simulate plays whole trips that use things up, as a check that the user can run on the analytic
// readiness. trips of 0 is [UsualTrips]. Options.Progress is told how far it is; when ctx ends it stops with
// ctx's error and no report.
func Simulate(ctx context.Context, s *geo.Survey, t Trip, cat *catalogue.Catalogue, trips int, opts Options) (*SimReport, error) {
	opts.Quick = true
	st, err := begin(ctx, s, t, cat, opts)
	if err != nil {
		return nil, err
	}
	if trips <= 0 {
		trips = UsualTrips
	}
	sim, err := coverage.SimulateProgress(ctx, st.m, trips, opts.seed(), func(done float64) { opts.report("simulated trips", done) })
	if err != nil {
		return nil, err
	}
	r := &SimReport{Analytic: st.res.Readiness(), Simulated: sim}
	if sim.ReadinessSE > 0 {
		r.Sigmas = (sim.Readiness - r.Analytic) / sim.ReadinessSE
	}
	r.Agrees = r.Sigmas >= -3
	switch {
	case !r.Agrees:
		r.Held = "They lie more than three standard errors apart, the simulation worse: that must not be. Please report this trip."
	case r.Sigmas > 3:
		r.Held = fmt.Sprintf("The simulation is better by %.1f standard errors, as it may be: the analytic answer counts every trouble that could use a part as using it, so it errs on the low side.", r.Sigmas)
	default:
		r.Held = "They agree within three standard errors."
	}
	r.Text = fmt.Sprintf("%d simulated trips: readiness %.2f (standard error %.2f), analytic %.2f. %s", trips, sim.Readiness, sim.ReadinessSE, r.Analytic, r.Held)
	return r, nil
}
