// Package verbs is the command line of the program: every job that needs no window.
//
// [Run] looks at the first word and hands the rest to that verb. A verb reads files, calls the same
// functions as the window, and prints. Exit status: 0 done; 1 done, and findings were met that --fail
// asked to fail on; 2 bad input, with one line on standard error that names file, place and remedy.
package verbs
