package problem

// Detail returns what is wrong in this case.
func (p *Problem) Detail() string { return p.detail }

// Header returns the headers that the answer gets.
func (p *Problem) Header() map[string]string { return p.header }
