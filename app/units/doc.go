// Package units writes and reads quantities in the units that the user chose.
//
// Everywhere else in the program a number is in the base unit of its [Quantity] (metres, kilograms,
// litres, kilopascals, degrees Celsius, kilonewtons, litres per 100 km, kilometres an hour, seconds,
// degrees). Only a [Formatter] turns it into text and text into it: metric, US or imperial, decimal
// point or comma. What Format writes, Parse reads back to within the digits shown; what Edit writes,
// it reads back to a billionth. Texts that could mean two numbers are refused, never guessed.
package units
