package risk

import (
	"lastroad/risk/catalogue"
	"lastroad/risk/recovery"
)

// Gear is what one vehicle brings to a recovery, read from its load as the judging reads it.
type Gear struct {
	Kit         recovery.Kit
	MassKg      float64 // laden mass that forces are reckoned with
	GVMKg       float64
	DrivenShare float64 // of the weight on driven wheels
	Able        int     // people old enough to count as a pair of hands
	Count       func(item string) float64
}

// GearOf reads a party's recovery gear. partner marks its recovery points as those of the other vehicle.
// Figures of the vehicle that are not given are those of its class; a class that is not in the tables is an
// error.
func GearOf(cat *catalogue.Catalogue, p Party, partner bool) (Gear, error) {
	p, err := (&filler{cat: cat}).party(p, "", "")
	if err != nil {
		return Gear{}, err
	}
	place := ""
	if partner {
		place = "partner"
	}
	n := counts(cat, p.Load)
	return Gear{Kit: kitOf(cat, &p, place), MassKg: ladenKg(&p.Vehicle), GVMKg: p.Vehicle.GVMKg, DrivenShare: drivenShare(&p.Vehicle), Able: able(p.People),
		Count: func(item string) float64 {
			if i, ok := cat.ItemIndex(item); ok {
				return n[i]
			}
			return 0
		}}, nil
}
