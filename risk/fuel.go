package risk

// fuel works out whether the fuel carried reaches the next fuel, and puts the chance that it does not
// into the model as a trouble.
func (st *study) fuel() {}
