package recovery

// Capacity is the greatest pull, in kN, that the kit can make on the site by any rig: at a pull p the
// best margin is Capacity/p, and it holds while that is above 1. It does not depend on what is stuck, so a
// caller that judges many states with one kit works it out once. 0 means that no rig can be made up at
// all (a piece, a rating, an anchor or line is missing). Errors are those of [Tables.Plan].
func (t *Tables) Capacity(kit Kit, site Site) (kN float64, err error) {
	// All forces go with the pull and the line does not, so a small pull finds the choices of any.
	const probe = 1.0
	j, err := t.newJob(Pull{CentralKN: probe}, kit, site)
	if err != nil {
		return 0, err
	}
	j.quiet = true
	f, err := j.search()
	return probe * f.bestMargin, err
}
