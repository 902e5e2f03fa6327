package clearance

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/survey"

	"github.com/google/uuid"
)

// Clearance says that what a stop asks for is met, or withdraws an earlier clearance. It is kept
// with the instrument for ever.
type Clearance struct {
	ID         uuid.UUID `json:"id"`
	Instrument uuid.UUID `json:"instrument"`
	Stop       string    `json:"stop"`
	// Finding, Places, Owner, Party and Country are what it covers: what the survey had found, where
	// on the piano, whose the piano was and where it stood.
	Finding survey.Judgement     `json:"finding"`
	Places  []string             `json:"places,omitempty"`
	Owner   instrument.Ownership `json:"owner"`
	Party   uuid.UUID            `json:"party,omitzero"`
	Country string               `json:"country,omitempty"`
	Until   string               `json:"until"` // the condition that is met, in the table's words of the day
	By      string               `json:"by"`    // who answers for it
	Says    string               `json:"says"`  // what was looked into and what came of it
	On      domain.Date          `json:"on"`
	// Reference and Dated are those of the papers; a word needs none.
	Reference string      `json:"reference,omitempty"`
	Dated     domain.Date `json:"dated,omitzero"`
	// Withdraws is the clearance that holds no longer; Says is why.
	Withdraws  uuid.UUID `json:"withdraws,omitzero"`
	RecordedBy uuid.UUID `json:"recorded_by"`
	RecordedAt time.Time `json:"recorded_at"`
}

// Clear checks a clearance against the stops of its instrument and completes it with what it
// covers. It returns an Invalid Fault with everything wrong in it, a Forbidden one where the role
// may not clear the stop, and a Conflict where no clearance lifts it.
func (l List) Clear(c Clearance, role domain.Role, today domain.Date) (Clearance, error) {
	at := slices.IndexFunc(l, func(s Stop) bool { return s.ID == c.Stop })
	if at < 0 {
		return c, domain.Faults{{Pointer: "#/stop", Detail: l.mustBeOne(c.Stop)}}.Err()
	}
	s := l[at]
	if s.Relief == catalogue.ByChange {
		return c, domain.Refuse(
			domain.Conflict, "no clearance lifts %s: %s. Not until %s", s.ID, s.Says, s.Until,
		)
	}
	if !slices.Contains(s.Roles, string(role)) {
		return c, domain.Refuse(domain.Forbidden, "%s may be cleared by %s, not by the role %s",
			s.ID, strings.Join(s.Roles, ", "), role)
	}
	c.Finding, c.Places, c.Until = s.Finding, s.Where, s.Until
	c.Owner, c.Party, c.Country = s.Owner, s.Party, s.Country
	if c.On.IsZero() {
		c.On = today
	}
	var f domain.Faults
	c.check(&f, today)
	switch {
	case c.Withdraws != uuid.Nil && (s.Clearance == nil || s.Clearance.ID != c.Withdraws):
		f.Add("#/withdraws", "must be the clearance of %s that holds", s.ID)
	case c.Withdraws == uuid.Nil && s.Relief == catalogue.ByPapers:
		c.checkPapers(&f, s.NotBefore)
		c.checkOwn(&f, s)
	}
	return c, f.Err()
}

// mustBeOne says which stops there are.
func (l List) mustBeOne(id string) string {
	if len(l) == 0 {
		return fmt.Sprintf("nothing stops the instrument, so %q can't be cleared", id)
	}
	ids := make([]string, len(l))
	for i, s := range l {
		ids[i] = s.ID
	}
	return fmt.Sprintf(
		"must be one of what stops the instrument (%s), not %q", strings.Join(ids, ", "), id,
	)
}

func (c Clearance) check(f *domain.Faults, today domain.Date) {
	for _, x := range []struct {
		pointer, text, what string
		most                int
	}{
		{"#/by", c.By, "who answers for it", domain.MaxName},
		{"#/says", c.Says, "what was looked into and what came of it", domain.MaxText},
	} {
		if strings.TrimSpace(x.text) == "" || utf8.RuneCountInString(x.text) > x.most {
			f.Add(x.pointer, "must say %s, in at most %d characters", x.what, x.most)
		}
	}
	f.CheckLength("#/reference", c.Reference, domain.MaxName)
	for _, x := range []struct {
		pointer string
		day     domain.Date
	}{{"#/on", c.On}, {"#/dated", c.Dated}} {
		if today.DaysUntil(x.day) > 0 {
			f.Add(x.pointer, "must be today, %s, or earlier, not %s", today, x.day)
		}
	}
}

// checkPapers notes a fault unless the papers are there: what was applied for has neither reference
// nor date.
func (c Clearance) checkPapers(f *domain.Faults, first string) {
	if strings.TrimSpace(c.Reference) == "" {
		f.Add("#/reference", "must be the reference of the papers: %s", c.Until)
	}
	if c.Dated.IsZero() {
		f.Add("#/dated", "must be the day on which the papers were issued")
	} else if c.Dated.String() < first {
		f.Add("#/dated", "must be %s or later: no such papers were issued before", first)
	}
}

// checkOwn notes a fault where papers that hold for one owner only are those of the one before.
func (c Clearance) checkOwn(f *domain.Faults, s Stop) {
	if !s.EachOwner || s.Lapsed == nil {
		return
	}
	before := s.Lapsed.Clearance
	if (before.Owner != c.Owner || before.Party != c.Party) &&
		strings.EqualFold(strings.TrimSpace(c.Reference), strings.TrimSpace(before.Reference)) {
		f.Add("#/reference", "must be that of the present owner's own papers: %s is that of the owner "+
			"before, cleared on %s. Not until %s", before.Reference, before.On, s.Until)
	}
}

// lapse says why a clearance no longer covers what stops the instrument; empty while it does.
func (c Clearance) lapse(s Stop, p *catalogue.Point) string {
	elsewhere := func(place string) bool { return !slices.Contains(c.Places, place) }
	bought := (c.Owner == instrument.Stock) != (s.Owner == instrument.Stock)
	switch {
	case c.Country != "" && s.Country != "" && c.Country != s.Country:
		return fmt.Sprintf("it stands in %s now, and was cleared in %s", s.Country, c.Country)
	case bought && s.Relief == catalogue.ByPapers,
		c.Party != uuid.Nil && s.Party != uuid.Nil && c.Party != s.Party:
		return "it has another owner now"
	case s.Finding.WorseThan(c.Finding, p):
		return "a worse finding has come: " + s.Finding.Text
	case c.Finding.Answer != "" && s.Finding.Answer != c.Finding.Answer:
		return "the survey says something else now: " + s.Finding.Text
	case c.Finding.Severity != catalogue.Unknown && slices.ContainsFunc(s.Where, elsewhere):
		return "it was found at another place too: " + s.Finding.Text
	}
	return ""
}

// Text says by whom and by which papers a stop was cleared.
func (c Clearance) Text() string {
	text := fmt.Sprintf("Cleared by %s on %s: %s", c.By, c.On, c.Says)
	if c.Reference != "" {
		text += fmt.Sprintf(" (%s of %s)", c.Reference, c.Dated)
	}
	return text + "."
}
