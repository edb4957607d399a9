// Package catalogue reads the tables of the risk model: what people carry ([Item]), what can go wrong
// and how often ([Hazard], [Event]), what raises a rate ([Factor]), what ends a trouble ([Recipe]), what
// people can do ([Skill]), and the judgements that tie them together ([Policy]).
//
// [Load] is strict: every number carries a band and says where it comes from, chances lie between 0
// and 1, shares add up to 1, recipes name only what exists, and nothing contains itself. What is wrong is
// refused with file, line and reason. [Catalogue.Register] lists every number with its source, and
// [Catalogue.With] puts a user's own figures in their place, inside their permitted range.
package catalogue
