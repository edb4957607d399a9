//go:build unix

package mutate

import "syscall"

// processorSeconds is the time that this process has been computing.
func processorSeconds() float64 {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	t := func(v syscall.Timeval) float64 { return float64(v.Sec) + float64(v.Usec)/1e6 }
	return t(u.Utime) + t(u.Stime)
}
