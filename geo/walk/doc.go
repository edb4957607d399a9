// Package walk finds how long it takes to walk out to a road over the ground.
//
// A [Grid] is the heights around the route in cells of some 30 to 90 m. [Land] adds what the map
// knows: water and cliffs nobody crosses, ways that are walked faster, and the roads to reach.
// [Surface] then spreads from all roads at once and gives a [Result]: minutes from every cell to the
// road that is soonest reached, and the way there.
//
//	grid, err := walk.NewGrid(bound, 60, walk.DefaultMaxCells, model)
//	land := walk.NewLand(grid)
//	land.Area(lake)
//	land.Barrier(cliff)
//	land.Way(path)
//	land.Road(road)
//	result, err := walk.Surface(ctx, land, walk.Options{})
//	minutes := result.Minutes(1.65, 42.6)
//
// Pace follows Tobler's function of the slope in the direction of walking, which is towards the road:
// a cell above the road is nearer in time than one as far below it. Off ways the speed is the stated
// part of that on a way.
//
// The times are for a fit adult by day with a light load, without rests; they say nothing of heat,
// thirst, snow, thicket or fear, and are no advice to leave the vehicle. [Straight] is the estimate
// for ground without heights.
package walk
