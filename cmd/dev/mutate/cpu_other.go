//go:build !unix

package mutate

// processorSeconds is unknown here: 0, so that time is not watched.
func processorSeconds() float64 { return 0 }
