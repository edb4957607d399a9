package main

import (
	"fmt"

	"lastroad/cmd/dev/bench"
)

// measure runs the comparisons with peers; what is missing of them is installed first where that is possible, and
// passed over where it is not.
func measure(args []string) error {
	top, err := goToRoot()
	if err != nil {
		return err
	}
	if err := need(bench.Packages...); err != nil {
		fmt.Println("dev:", err)
		fmt.Println("dev: peers that are not here are passed over")
	}
	return bench.Run(top, args)
}
