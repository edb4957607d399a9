// Package words says in another language what the tables and the judging say in English: the names of things,
// troubles and remedies, and the sentences with figures in them.
//
// The core writes English only. A [Book] finds a text among the names, or recognises it as one of the known
// sentences with its blanks filled, and says it in its language with the same figures. What it does not know
// stays as it is. The window and the papers share it, so that a thing has one name everywhere.
package words
