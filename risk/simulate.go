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
	Text   string
}

// UsualTrips is the usual number of simulated trips.
const UsualTrips = 100_000

// Simulate plays whole trips that use things up, as a check that the user can run on the analytic
// readiness. trips of 0 is [UsualTrips].
func Simulate(ctx context.Context, s *geo.Survey, t Trip, cat *catalogue.Catalogue, trips int, opts Options) (*SimReport, error) {
	opts.Quick = true
	st, err := begin(ctx, s, t, cat, opts)
	if err != nil {
		return nil, err
	}
	if trips <= 0 {
		trips = UsualTrips
	}
	sim, err := coverage.Simulate(ctx, st.m, trips, opts.seed())
	if err != nil {
		return nil, err
	}
	r := &SimReport{Analytic: st.res.Readiness(), Simulated: sim}
	if sim.ReadinessSE > 0 {
		r.Sigmas = (sim.Readiness - r.Analytic) / sim.ReadinessSE
	}
	r.Agrees = r.Sigmas >= -3
	r.Text = fmt.Sprintf("%d simulated trips: readiness %.2f (standard error %.2f), analytic %.2f.", trips, sim.Readiness, sim.ReadinessSE, r.Analytic)
	switch {
	case !r.Agrees:
		r.Text += " They disagree: please report this trip."
	case r.Sigmas > 3:
		r.Text += " The simulation is better, as it may be: the analytic answer counts every trouble that could use a part as using it."
	default:
		r.Text += " They agree."
	}
	return r, nil
}
