package coverage

// Counts gives the expected number of troubles of the whole trip in every sample: what [Result.Stopped]
// would be, without working out what ends them.
func Counts(m *Model, d Draws) []float64 {
	w := NewWork(m)
	out := make([]float64, len(d))
	for i := range d {
		w.setMeans(d[i])
		for _, v := range w.mean {
			out[i] += v
		}
	}
	return out
}
