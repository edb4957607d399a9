package window

import (
	"syscall"
	"time"
)

// threadWork is the processor time that the calling thread has used, programWork that of the whole program. On a
// machine that others use as well they tell what a frame costs, where the clock on the wall tells what the others do.
func threadWork() time.Duration {
	const thisThread = 1 // RUSAGE_THREAD
	return workOf(thisThread)
}

func programWork() time.Duration { return workOf(syscall.RUSAGE_SELF) }

func workOf(who int) time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(who, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
