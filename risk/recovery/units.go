package recovery

import "fmt"

// Gravity is standard gravity in m/s2 (ISO 80000-3).
const Gravity = 9.80665

// Exact conversion factors (international yard and pound agreement, 1959).
const (
	KgPerLb = 0.45359237
	MPerFt  = 0.3048
)

// KPaPerPsi is one pound-force per square inch in kPa.
const KPaPerPsi = KgPerLb * Gravity / (0.0254 * 0.0254) / 1000

// kPaPerPsf is one pound-force per square foot in kPa.
const kPaPerPsf = KgPerLb * Gravity / (MPerFt * MPerFt) / 1000

// KN is the weight of kg kilograms in kilonewtons.
func KN(kg float64) float64 { return kg * Gravity / 1000 }

// Kg is the mass in kilograms whose weight is kN kilonewtons: a "pull of so many kilograms".
func Kg(kN float64) float64 { return kN * 1000 / Gravity }

// LbfToKN is a pull of lbf pounds-force in kilonewtons.
func LbfToKN(lbf float64) float64 { return KN(lbf * KgPerLb) }

// KNToLbf is a force of kN kilonewtons in pounds-force.
func KNToLbf(kN float64) float64 { return Kg(kN) / KgPerLb }

// PsiToKPa converts pounds per square inch to kPa.
func PsiToKPa(psi float64) float64 { return psi * KPaPerPsi }

// KPaToPsi converts kPa to pounds per square inch.
func KPaToPsi(kPa float64) float64 { return kPa / KPaPerPsi }

// force writes a force as people in the trade read it: "32.4 kN (3300 kg)".
func force(kN float64) string { return fmt.Sprintf("%.1f kN (%.0f kg)", kN, Kg(kN)) }
