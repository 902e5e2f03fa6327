package domain

import (
	"fmt"
	"slices"
	"strings"

	"bentside/domain/catalogue"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Person is a member of the crew.
type Person struct {
	ID     uuid.UUID `json:"id"`
	Name   string    `json:"name"`
	Skills []string  `json:"skills"`
	// ProductiveShare is the share of the paid hours that is bench time (60–80 %: common practice,
	// no source).
	ProductiveShare decimal.Decimal `json:"productive_share"`
	// OffPayroll is true of a proprietor, whose hours no wage is paid for. Neither it nor User is in
	// the documents of plans and bids, since no date rests on them.
	OffPayroll bool `json:"-"`
	// User is the member of the workshop that the person is; zero: none, or not said. Whoever has the
	// role bench books only the hours of the person that they are.
	User uuid.UUID `json:"-"`
}

// Same reports whether two records of a person say the same.
func (p Person) Same(q Person) bool {
	return p.ID == q.ID && p.Name == q.Name && slices.Equal(p.Skills, q.Skills) &&
		p.ProductiveShare.Equal(q.ProductiveShare) && p.OffPayroll == q.OffPayroll && p.User == q.User
}

// minProductiveShare is the smallest productive share that is accepted. With less, work would last
// beyond any planning horizon.
var minProductiveShare = decimal.New(5, -2)

// checkSkill notes a skill that no work asks for.
func (f *Faults) checkSkill(pointer, skill string) {
	if !slices.Contains(catalogue.Skills, skill) {
		f.Add(
			pointer, "unknown skill %q; use %s", skill, strings.Join(catalogue.Skills, ", "),
		)
	}
}

// Check returns an Invalid Fault with everything wrong in a person, or nil.
func (p Person) Check() error {
	var f Faults
	f.checkName(p.Name)
	if len(p.Skills) == 0 {
		f.Add("#/skills", "must name at least one skill")
	}
	for i, s := range p.Skills {
		f.checkSkill(fmt.Sprintf("#/skills/%d", i), s)
	}
	switch {
	case !p.ProductiveShare.IsPositive() || p.ProductiveShare.GreaterThan(One):
		f.Add(
			"#/productive_share", "must be a share of the paid hours above 0 and up to 1, not %s",
			p.ProductiveShare,
		)
	case HasMoreDecimals(p.ProductiveShare, sharePlaces):
		f.Add("#/productive_share", "%s has more than %d decimals", p.ProductiveShare, sharePlaces)
	case p.ProductiveShare.LessThan(minProductiveShare):
		f.Add("#/productive_share",
			"must be at least %s, not %s; leave the skill out for somebody who is hardly ever at the bench",
			minProductiveShare, p.ProductiveShare)
	}
	return f.Err()
}
