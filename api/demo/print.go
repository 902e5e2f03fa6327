package demo

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
	"time"

	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/caution"
	"bentside/domain/plan"
	"bentside/domain/scope"
	"bentside/pricing"

	"github.com/shopspring/decimal"
)

// depthNames are the trade's words for the depths.
var depthNames = map[catalogue.Depth]string{
	catalogue.AsFound: "AS FOUND", catalogue.Recondition: "RECONDITION", catalogue.Restore: "RESTORE",
}

// PrintSheet writes the page that the buyer carries into the room.
func (s Story) PrintSheet(out io.Writer) error {
	_, err := io.WriteString(out, s.Sheet.Text())
	return err
}

// Print writes all that there is to read of the story's bid, and what became of it.
func (s Story) Print(out io.Writer) error {
	p := &printer{}
	zone, err := time.LoadLocation(s.Workshop.Zone)
	if err != nil {
		return err
	}
	p.zone = zone
	s.printPiano(p)
	s.printFindings(p)
	s.printSale(p)
	for k, w := range s.Bid.Result.Ways {
		d := s.Scopes[k]
		p.printWay(w, caution.CautionsOfJob(d.Catalogue, d.Instrument, d.Judgements, w.Scope, d.Stops))
	}
	p.printSideBySide(s.Bid.Result.Ways, s.Bid.Inputs.Assumptions(s.Bid.Result))
	s.printChoices(p)
	s.printWhatIf(p, s.Second)
	s.printLeave(p)
	s.printPurchase(p)
	_, err = io.WriteString(out, p.String())
	return err
}

type printer struct {
	strings.Builder
	zone *time.Location
}

func (p *printer) line(format string, args ...any) { fmt.Fprintf(p, format+"\n", args...) }

// table aligns columns; tabs separate the cells of a row.
func (p *printer) table(rows []string) {
	w := tabwriter.NewWriter(p, 0, 0, 2, ' ', 0)
	for _, r := range rows {
		fmt.Fprintln(w, "  "+r)
	}
	w.Flush() //nolint:errcheck // a string builder never fails
}

func (s Story) printPiano(p *printer) {
	i := s.Candidate
	p.line("%s", s.Workshop.Name)
	p.line("%s, on offer: %s %s, grand of %d.%02d m, No %s, %d, %d notes, %s %s, %s keys",
		Today, i.Maker, i.Model, i.SizeMM/1000, i.SizeMM%1000/10, i.Serial, i.Year, i.Notes, i.Colour,
		i.Finish, i.Covering)
}

func (s Story) printFindings(p *printer) {
	p.line("\nWHAT THE SURVEY SAYS")
	for _, sev := range []catalogue.Severity{catalogue.MustAct, catalogue.Attention} {
		p.line(
			"  %s",
			map[catalogue.Severity]string{
				catalogue.MustAct: "must be dealt with:", catalogue.Attention: "needs attention:",
			}[sev],
		)
		for _, j := range s.Bid.Result.Judgements {
			if j.Severity == sev {
				p.line("    %s  %s", j.Point, j.Text)
			}
		}
	}
	var unknown, sound []string
	for _, j := range s.Bid.Result.Judgements {
		switch j.Severity { //nolint:exhaustive // the others are printed above
		case catalogue.Unknown:
			unknown = append(unknown, string(j.Point))
		case catalogue.Sound:
			sound = append(sound, string(j.Point))
		}
	}
	p.line(
		"  in order: %d points. Not inspected, so not counted as sound: %s", len(sound),
		strings.Join(unknown, " "),
	)
}

func (p *printer) printWay(w bid.WayResult, cautions []caution.Caution) {
	p.line("\n%s", depthNames[w.Depth])
	rows := []string{"\thours\tchance\twork\twhy"}
	for _, l := range w.Scope.Lines {
		rows = append(
			rows,
			fmt.Sprintf("%s\t%s\t%s\t%s\t%s", l.Operation, p.hours(l), percent(l.Chance), l.Name, why(l)),
		)
	}
	p.table(rows)
	p.printElsewhere(w.Scope.Lines)
	for _, r := range w.Scope.Suggestions {
		p.line("  consider: %s", r.Text)
	}
	for _, stop := range w.Stops {
		p.printStop(stop)
	}
	p.printCautions(cautions)
	p.printEstimate(w.Estimate)
	p.printDates(w.Dates)
	p.printBid(w)
}

// countedElsewhere says where a line in brackets is counted.
var countedElsewhere = map[scope.CountedIn]string{
	scope.BeforePurchase: "spent before the purchase", scope.InSelling: "counted in selling",
	scope.InTransport: "counted in transport",
}

// printElsewhere says where the lines are counted whose hours stand in brackets.
func (p *printer) printElsewhere(lines []scope.Line) {
	var list []string
	for _, l := range lines {
		if l.CountedIn != "" {
			list = append(list, fmt.Sprintf("%s %s", l.Operation, countedElsewhere[l.CountedIn]))
		}
	}
	if len(list) > 0 {
		p.line("  Hours in brackets aren't counted in the work: %s.", strings.Join(list, ", "))
	}
}

// printSale prints the cautions to read before the piano changes hands.
func (s Story) printSale(p *printer) {
	d := s.Scopes[0]
	p.line("\nBEFORE IT CHANGES HANDS")
	p.printCautions(
		caution.CautionsOfSale(
			d.Catalogue, d.Instrument, d.Judgements, s.Workshop.Terms.TaxRegime, d.Stops,
		),
	)
}

// printCautions prints cautions with their figures, in working order.
func (p *printer) printCautions(list []caution.Caution) {
	p.line("  Take care:")
	for _, k := range list {
		p.line("    %s%s", where(k.Operations), k.Says)
	}
	p.line("    %s", catalogue.Deference)
}

// where names the first operations that a caution concerns.
func where(operations []catalogue.Code) string {
	const most = 3
	names := make([]string, 0, most)
	for _, code := range operations[:min(most, len(operations))] {
		names = append(names, string(code))
	}
	switch more := len(operations) - most; {
	case len(operations) == 0:
		return ""
	case more > 0:
		return fmt.Sprintf("%s and %d more: ", strings.Join(names, " "), more)
	default:
		return strings.Join(names, " ") + ": "
	}
}

func (p *printer) hours(l scope.Line) string {
	says := l.Hours.Likely.StringFixed(1)
	if l.Making == catalogue.Outside {
		says = "outside"
	}
	if l.CountedIn != "" {
		says = "(" + says + ")"
	}
	return says
}

func percent(share decimal.Decimal) string {
	if share.Equal(decimal.NewFromInt(1)) {
		return ""
	}
	return share.Mul(decimal.NewFromInt(100)).StringFixed(0) + " %"
}

// why returns the most telling reason for a line, with the findings behind it. A rule tells more
// than work that brings the line along.
func why(l scope.Line) string {
	if len(l.Reasons) == 0 {
		return ""
	}
	r := l.Reasons[0]
	for _, x := range l.Reasons {
		if ranksAbove(x, r, l.Operation) {
			r = x
		}
	}
	text := r.Text
	if r.From != "" {
		text = fmt.Sprintf("goes with %s: %s", r.From, text)
	}
	if len(r.Points) > 0 {
		names := make([]string, len(r.Points))
		for i, x := range r.Points {
			names[i] = string(x)
		}
		text += " [" + strings.Join(names, " ") + "]"
	}
	if n := len(l.Reasons) - 1; n > 0 {
		text += fmt.Sprintf(" (and %d more)", n)
	}
	return text
}

// ranksAbove ranks reasons: those with findings first, then those of a rule, then those of other
// work.
func ranksAbove(a, b scope.Reason, of catalogue.Code) bool {
	rank := func(r scope.Reason) int {
		switch {
		case len(r.Points) > 0:
			return 3
		case r.From == "":
			return 2
		case r.From != of:
			return 1
		}
		return 0
	}
	return rank(a) > rank(b)
}

func (p *printer) printEstimate(e pricing.Estimate) {
	p.line("  What it takes and costs (likely / on average / in four cases out of five):")
	hours := func(h decimal.Decimal) string { return h.StringFixed(0) }
	rows := []string{fmt.Sprintf("hours\t%s\t%s\t%s to %s", hours(e.Hours.Likely),
		hours(e.Hours.Expected), hours(e.Hours.Low), hours(e.Hours.High))}
	for _, s := range e.Skills {
		rows = append(rows,
			fmt.Sprintf("  %s\t%s\t%s", s.Skill, hours(s.Hours.Likely), hours(s.Hours.Expected)))
	}
	for _, c := range []struct {
		name string
		r    pricing.Range
	}{
		{"labour", e.Costs.Labour},
		{"overhead", e.Costs.Overhead},
		{"materials", e.Costs.Materials},
		{"outside", e.Costs.Outside},
	} {
		rows = append(rows, fmt.Sprintf("%s\t%s\t%s", c.name, c.r.Likely.Text(), c.r.Expected.Text()))
	}
	total := e.Costs.Total
	p.table(append(rows, fmt.Sprintf("in all, %s\t%s\t%s\t%s to %s", e.Currency.Code(),
		total.Likely.Text(), total.Expected.Text(), total.Low.Text(), total.High.Text())))
}

func (p *printer) printDates(d plan.Dates) {
	p.line(
		"  Ready in the showroom: %s if everybody and every station were free; %s planned among the jobs in",
		p.day(d.Alone.Ready), p.day(d.Queued.Ready),
	)
	p.line(
		"  progress, with the crew and the stations that the workshop has.",
	)
	p.printPath("What drives the first date:", d.Alone.Path)
	p.printPath("What drives the second date:", d.Queued.Path)
}

// printPath prints the chain of steps that determines a date, first step first.
func (p *printer) printPath(title string, path []plan.PathStep) {
	p.line("  %s", title)
	rows := make([]string, 0, len(path))
	for _, s := range path {
		name := s.Name
		if s.Instrument != "" {
			name += " (" + s.Instrument + ")"
		}
		rows = append(rows, fmt.Sprintf("  %s\t%s\t%s", p.day(s.Start), name, s.Why))
	}
	p.table(rows)
}

func (p *printer) day(t time.Time) string { return t.In(p.zone).Format("2 Jan 2006") }

// Curl returns requests that work as pasted while the demo serves at url.
func (s Story) Curl(url string) []string {
	auth := fmt.Sprintf(`-H 'Authorization: Bearer %s'`, s.Token)
	lines := []string{
		fmt.Sprintf(`curl -s %s -H 'Accept: application/pdf' -o sheet.pdf %s/v1/bids/%s/sheet`,
			auth, url, s.Bid.ID),
		fmt.Sprintf(`curl -s %s %s/v1/bids/%s`, auth, url, s.Bid.ID),
		fmt.Sprintf(`curl -s %s %s/v1/scopes/%s/dates`, auth, url, s.Scopes[len(s.Scopes)-1].ID),
		fmt.Sprintf(`curl -s %s -H 'Content-Type: application/json' -H 'Idempotency-Key: "try-1"' -d '{"point":"SV-35","value":"0","unit":"hammers","note":"sound after all"}' %s/v1/surveys/%s/findings`,
			auth, url, s.Survey.ID),
	}
	if s.Life != nil {
		lines = append(lines, fmt.Sprintf(`curl -s %s %s/v1/instruments/%s/outcome`,
			auth, url, s.Life.Instrument.ID))
	}
	return lines
}
