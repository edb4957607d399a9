// Package window is the desktop face of the program: one window in which a route is seen, the party and
// its load are edited, and every change is judged anew at once.
//
// It computes nothing about the ground or the risk. A [Desk] opens, judges and saves (package trip does
// it for the program, tests hand in their own); a [Presenter] owns the state that the screens show: the
// open document, the plan with the latest edits, what is chosen and pointed at. Screens read from it, call
// its methods, and are told what changed. All of that happens on the window's one goroutine; long work
// runs in workers that hand back a value, and a value that comes too late is dropped.
//
// Only run_cgo.go imports the part of Fyne that needs C, so everything else is tested without a screen.
package window
