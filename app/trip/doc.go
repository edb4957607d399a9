// Package trip holds one opened trip: the plan that the user makes (party, load, conditions, stops,
// what they know of the ground), the files it rests on, and what was measured and judged from them.
//
// A [Plan] is what is kept in a .trip file. [Open] reads whatever files are given, surveys the route
// and judges it, and returns a [Document]: an immutable snapshot. An edit makes a new Plan; [Document.With]
// does only the work that the edit makes necessary and returns a new Document. The window and the
// verbs are two faces of these calls.
package trip
