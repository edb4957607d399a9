package height

import "math"

// Noise says how wrong a reading of the road's height may be. The standard deviation of a reading
// from a grid is
//
//	sqrt(GridM^2 + (side slope x LateralM)^2 + (BendShare x Slope.BendM)^2)
//
// and its errors are correlated along the line: over d metres by (1 + d/l) exp(-d/l), with l
// CorrelationCells of the grid's cells, at least CorrelationM.
type Noise struct {
	GridM            float64 // noise of the posts, metres
	LateralM         float64 // line and grid against each other, across the line, metres
	BendShare        float64 // part of the ground's bend between posts that a reading misses
	WhiteM           float64 // the part that is not correlated (rounding), metres
	CorrelationCells float64
	CorrelationM     float64 // least correlation length of errors along the line, metres
	OwnM             float64 // error of heights that came with the route, metres
	OwnLengthM       float64 // their correlation length, metres
}

// DefaultNoise is used where options leave the noise out.
//
// GridM: relative height errors of SRTM at 90 % are 4.7 (Australia) to 9.8 m (Africa), 8.7 m in
// Eurasia (Rodriguez, Morris, Belz, "A global assessment of the SRTM performance", Photogrammetric
// Engineering and Remote Sensing 72, 2006, table 1). They are errors of a difference of two heights:
// divided by 1.645 and the square root of two, 2.0 to 4.2 m, 3.7 m in Eurasia.
//
// LateralM: the same table gives horizontal errors at 90 % of 7.2 to 12.6 m, 8.8 m in Eurasia:
// divided by 2.146 (circular error of a normal pair) 3.4 to 5.9 m a direction. Mapped and recorded
// lines add, by judgement, 5 m: traces of hand-held receivers are good to 5 to 10 m, images to less.
// Together 6.5 m.
//
// BendShare, CorrelationCells: derived, from the errors of bilinear readings on made ground
// (TestGradeOfKnownTracks), where the part of the error that the other two do not explain was 0.4 to
// 0.67 of BendM, and the correlation at 25 to 150 m (0.88, 0.72, 0.55, 0.42, 0.31, 0.24 for cells of 90 m) is that of
// l = 50 m. WhiteM: posts are rounded to whole metres (standard deviation 0.3 m). CorrelationM:
// judgement, mapped lines have a point every 30 to 60 m.
//
// OwnM, OwnLengthM: judgement; receivers without a barometer give heights good to 5 to 10 m that
// wander over some hundred metres; heights copied from a grid are like the grid.
var DefaultNoise = Noise{GridM: 3.7, LateralM: 6.5, BendShare: 0.5, WhiteM: 0.3, CorrelationCells: 0.54, CorrelationM: 25,
	OwnM: 5, OwnLengthM: 120}

// SD is the standard deviation in metres of a reading where the ground has slope s and crosses the
// line at the given side slope (rise over run, either sign). Unknown slope gives GridM with the side
// slope of a steep hillside of 40 %, so that not knowing never looks like knowing.
func (n Noise) SD(s Slope, side float64) float64 {
	bend := s.BendM
	if side != side {
		side = 0.4
	}
	if bend != bend {
		bend = 0
	}
	side *= n.LateralM
	bend *= n.BendShare
	return math.Sqrt(n.GridM*n.GridM + side*side + bend*bend)
}

// GradePrior is what is known of a road's grade before any height is read: its standard deviation,
// rise over run, and the length in metres over which a grade keeps.
type GradePrior struct{ SD, LengthM float64 }

// The priors by class of way. Forest roads are laid out with grades to 12 %, 14 % in the mountains
// over short distances, and never above 20 % (New Zealand Forest Owners Association, Forest Road
// Engineering Manual, 3.1 and 3.3): half of that, as about one sample in twenty exceeds two standard
// deviations, gives 6 % for kept roads and 10 % for tracks; off any way, by judgement, 15 %: a car
// stops climbing loose ground at about twice that. Lengths by judgement: a ramp between bends of a
// kept road some 250 m, of a track 150 m, of open ground 100 m.
var (
	PriorKept  = GradePrior{SD: 0.06, LengthM: 250}
	PriorTrack = GradePrior{SD: 0.10, LengthM: 150}
	PriorOpen  = GradePrior{SD: 0.15, LengthM: 100}
)
