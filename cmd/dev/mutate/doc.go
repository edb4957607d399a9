// Package mutate judges damaged copies of good files and looks how the program takes it.
//
// A case is a number. It decides which good file is taken (a region as PBF, a route as GPX, a height tile plain or
// zipped, a saved trip), whether its bytes are damaged as they lie on the disk or inside its packing, so that
// checksums still agree and the damage reaches the decoders, and what the damage is. The copy then goes through the
// judge verb. Allowed are a judged trip, and a refusal in one line with exit status 2; a crash, a hang, memory
// beyond bounds, a longer refusal or another status is a finding. The same number gives the same bytes on any
// machine, so a finding can be looked at again by its number.
//
// [Work] runs cases in this process; a crash in a goroutine ends it, so cmd/dev runs it in child processes and goes
// on behind the case that ended one.
package mutate
