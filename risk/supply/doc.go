// Package supply works out what people and vehicle use up: water, fuel, food, warmth, payload, time
// and coolant, and how long a party can wait for help.
//
// Read the numbers once with [ParseTables]; every question is then a pure function or a method of
// [Tables]: [Tables.Water] and [WaterAlong] for litres to drink, [Tables.Fuel] for a road-load model
// calibrated to the user's own consumption, [PointsOfNoReturn] for where going on becomes nearer than
// going back, [Tables.Help] and [Tables.Tau] for whether help comes in time, [Tables.Load] for the
// mass budget, [Tables.Plan] for days, camps, check-ins and the overdue time, [Tables.Cooling] for
// the radiator. Starting figures for vehicles and climates come from [ParseVehicles] and [ParseClimate].
//
// Results carry a [Band] where the number is uncertain, and cautions where somebody could be hurt.
// The package gives no medical advice and replaces neither maker's ratings, local rules nor training.
// It knows no route file, clock or window.
package supply
