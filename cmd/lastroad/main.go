// Command lastroad opens the window, or answers a verb without one; see package verbs.
package main

import (
	"context"
	"os"
	"os/signal"

	"lastroad/app/verbs"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	status := verbs.Run(ctx, os.Args[1:], verbs.Streams{Out: os.Stdout, Err: os.Stderr}, openWindow)
	stop()
	os.Exit(status)
}
