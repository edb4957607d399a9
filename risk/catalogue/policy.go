package catalogue

import (
	"maps"
	"slices"
)

// policyKeys are the figures the model asks for, with the range a user may choose from.
var policyKeys = []struct {
	key         string
	least, most float64
}{
	{"rescue_cost", 0.001, 1}, {"floor_ratio", 0, 100}, {"common_ef", 1, 5}, {"unknown_ef", 1, 5},
	{"help_ef", 1.01, 10}, {"help_median_ef", 1, 10}, {"margin_full", 1, 5}, {"margin_least", 0, 1},
	{"agreed_wait_h", 0, 168}, {"adverse_max_c", 20, 55}, {"ford_depth_m", 0, 2}, {"wading_m", 0.1, 2},
	{"camp_share", 0, 1}, {"drive_day_h", 1, 24}, {"walk_day_h", 0, 24}, {"walk_heat_c", 0, 50},
	{"walk_water_l_h", 0, 2}, {"medical_h", 1, 240}, {"ready_from", 0, 100}, {"thin_from", 0, 100},
	{"thin_odds", 0, 1}, {"late_odds", 0, 1}, {"likely_mean", 0, 10},
	{"jack_spread_m2", 0.005, 2}, {"jack_side_m", 0.05, 2}, {"jack_lift_m", 0.05, 1.5},
}

func policyIndex(key string) int {
	for i, k := range policyKeys {
		if k.key == key {
			return i
		}
	}
	return -1
}

func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }
