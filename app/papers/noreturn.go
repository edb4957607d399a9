package papers

import "lastroad/risk"

// noReturn is a point of no return in fuel, water or both in words.
func (w Words) noReturn(r risk.NoReturn) string {
	switch r.Kind {
	case risk.ReturnBoth:
		return w.T("no_return_both_here", w.at(r.AtM, 1), w.at(r.ToM, 0), w.at(r.LastReturnM, 0))
	case risk.ReturnFuel:
		return w.T("no_return_fuel_here", w.at(r.AtM, 1), w.at(r.ToM, 0), w.at(r.FromM, 0))
	}
	return w.T("no_return_water_here", w.at(r.AtM, 1), w.at(r.ToM, 0), w.at(r.FromM, 0))
}
