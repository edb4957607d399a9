// Package ground turns tags into ground classes, speeds and road classes by tables that can be read
// and edited: assets/tables/ground.toml and ways.toml.
//
//	rules, err := ground.ParseRules(data, "ground.toml")
//	mix := rules.Classify(way.Tags, osm.Scree) // a geo.GroundMix: shares, whether known, the reason
//
// Most tracks carry no ground tag at all. Then the mixture is only a plausible one, Known is false,
// and [Rules.WithRegion] moves it towards what the tagged ways of the same region are made of.
//
// [Ways] says which roads count as maintained, how fast each ground is driven, how a way is walked,
// and what its access tags allow. None of it knows a vehicle.
package ground
