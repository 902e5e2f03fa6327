package scope

import (
	"fmt"

	"bentside/domain/catalogue"
)

// Waiver is a named person's word that work which other work needs may be left out. It goes with
// the instrument into quotations and into the words that it is sold with.
type Waiver struct {
	Operation catalogue.Code `json:"operation"`
	Name      string         `json:"name"`
	Because   Ground         `json:"because"`
	By        string         `json:"by"`
	Why       string         `json:"why"`
}

// groundText puts each ground into words.
var groundText = map[Ground]string{
	Done: "done already", Elsewhere: "done elsewhere", Kept: "kept as it is",
}

// String returns the waiver in a sentence.
func (w Waiver) String() string {
	return fmt.Sprintf("%s: %s, says %s: %s", w.Name, groundText[w.Because], w.By, w.Why)
}

// WaiversOf returns the waivers of a list of edits as far as later ones haven't taken them back, in
// the order of the catalogue.
func WaiversOf(c *catalogue.Catalogue, edits []Edit) []Waiver {
	removed := overridesOf(c, edits).removed
	var list []Waiver
	for i := range c.Operations {
		op := &c.Operations[i]
		if e := removed[op.Code]; e.By != "" {
			list = append(list, Waiver{
				Operation: op.Code, Name: op.Name, Because: e.Because, By: e.By, Why: e.Why,
			})
		}
	}
	return list
}
