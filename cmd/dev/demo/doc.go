// Package demo makes the invented demo trip: a region that exists nowhere, its heights, and a
// three-day loop through it. Everything is drawn from one fixed seed, so that the same files come
// out byte for byte every time; run "go run ./cmd/dev demo" after a change here and look at the result.
//
// The high desert lies on empty ocean (31 to 32 degrees south, 108 to 109 degrees west), so that it
// cannot be taken for a real place. People, names, ways and heights are made up.
package demo
