// Package papers makes what is taken along or left behind: the trip book, the note for the contact at
// home, lists of needs, files for navigation devices, pictures. Every paper is drawn from a judged
// [trip.Document] by code that knows no window, and the same document and date give the same bytes.
package papers
