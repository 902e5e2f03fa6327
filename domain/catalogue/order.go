package catalogue

// InOrder returns the codes of all operations in the order of the trade: by the hard links,
// ties by position in the catalogue.
func (c *Catalogue) InOrder() []Code { return c.lookup().order() }

// orderOf works the order out. Operations on a cycle, which no checked catalogue has, come last.
func orderOf(c *Catalogue) []Code {
	position := make(map[Code]int, len(c.Operations))
	for i := range c.Operations {
		position[c.Operations[i].Code] = i
	}
	waits := make([]int, len(c.Operations)) // for so many links
	for _, l := range c.Links {
		if to, ok := position[l.To]; ok && l.Hard {
			waits[to]++
		}
	}
	order := make([]Code, 0, len(c.Operations))
	taken := make([]bool, len(c.Operations))
	for range c.Operations {
		next := -1
		for i := range c.Operations {
			if !taken[i] && (next < 0 || waits[i] == 0 && waits[next] > 0) {
				next = i
			}
		}
		code := c.Operations[next].Code
		taken[next], order = true, append(order, code)
		for _, l := range c.Links {
			if to, ok := position[l.To]; ok && l.Hard && l.From == code {
				waits[to]--
			}
		}
	}
	return order
}
