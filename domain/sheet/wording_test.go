package sheet

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"
	"bentside/pricing"
	"bentside/pricing/money"
)

var gbp = money.MustCurrency("GBP")

func pounds(text string) money.Amount { return money.MustParse(text + " GBP") }

// subject returns a bid of ways for a grand, as it is worked out today.
func subject(t testing.TB, ways ...bid.WayResult) Subject {
	t.Helper()
	in := domaintest.Grand()
	in.Covering, in.Owner = "plastic", instrument.Offered
	return Subject{
		Inputs: bid.Inputs{
			Engine: bid.Engine, Instrument: in, At: time.Date(2026, time.March, 2, 8, 0, 0, 0, time.UTC),
			Workshop: domain.Workshop{Name: "Fernwood Pianos", Terms: domain.DefaultTerms("GBP")},
		},
		Result: bid.Result{Ways: ways}, Catalogue: domaintest.Shipped(t), Zone: time.UTC,
	}
}

// priced returns a way with a price to aim for.
func priced(depth catalogue.Depth, aim string) bid.WayResult {
	return bid.WayResult{
		Depth: depth, Outcome: bid.Buy, Advice: &pricing.Advice{TargetProfit: pounds("90.00")},
		Negotiation: &bid.Negotiation{Negotiation: pricing.Negotiation{
			Aim: &pricing.Prospect{Sums: pricing.Sums{Price: pounds(aim)}},
		}},
	}
}

func TestAnInstrumentIsToldAsFarAsItIsOnRecord(t *testing.T) {
	t.Parallel()
	bare := instrument.Instrument{Kind: catalogue.Grand, SizeMM: 1855, Notes: 88}
	full := instrument.Instrument{
		Kind: catalogue.Upright, SizeMM: 1205, Notes: 85, Serial: "4711", StockNumber: "S-9",
		Year: 1904, Colour: "black", Finish: "shellac", Covering: "ivory", Country: "AT",
	}
	for want, in := range map[string]instrument.Instrument{
		"grand of 1.85 m, 88 notes": bare,
		"upright of 1.20 m, No 4711, stock number S-9, made in 1904, 85 notes, black shellac, " +
			"ivory keys, stands in AT": full,
	} {
		if got := description(in); got != want {
			t.Errorf("got  %q\nwant %q", got, want)
		}
	}
	if got := title(instrument.Instrument{Maker: "Marrable"}); got != "Marrable" {
		t.Errorf("the title is %q", got)
	}
}

func TestTheTaxIsToldAsTheFormHasIt(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		regime domain.TaxRegime
		asked  bid.Question
		want   string
	}{
		{domain.NoTax, bid.Question{}, "Tax assumed: no tax on the sale; papers"},
		{domain.MarginTax, bid.Question{}, "Tax assumed: tax on the margin at 20 %; papers"},
		{domain.StandardTax, bid.Question{}, "Tax assumed: tax on the whole sale price at 20 %; papers"},
		{
			domain.MarginTax,
			bid.Question{TaxShown: true},
			"Tax assumed: tax on the whole sale price at 20 %, since the seller's invoice shows tax; papers",
		},
		{
			domain.StandardTax,
			bid.Question{Form: bid.Consigned},
			"Tax assumed: tax on what we keep of the sale at 20 %; papers",
		},
		{
			domain.MarginTax,
			bid.Question{Form: bid.Consigned},
			"Tax assumed: tax on the margin at 20 %; papers",
		},
		{domain.MarginTax, bid.Question{Form: bid.DonorOfParts}, "Tax assumed: none, since nothing is sold"},
	} {
		b := subject(t)
		b.Inputs.Asked = c.asked
		b.Inputs.Workshop.Terms.TaxRegime = c.regime
		b.Inputs.Workshop.Terms.TaxRate = domaintest.Dec("0.2")
		if got := b.tax(); !strings.HasPrefix(got, c.want) {
			t.Errorf("%s, %+v:\ngot  %q\nwant %q", c.regime, c.asked, got, c.want)
		}
	}
}

// What can be paid at most is that of the best way which can be bought at all.
func TestTheMostIsPaidAtTheBestWay(t *testing.T) {
	t.Parallel()
	stopped, left := priced(catalogue.Restore, "9000.00"), priced(catalogue.Restore, "8000.00")
	stopped.Outcome, left.Outcome = bid.Stopped, bid.Leave
	looked := priced(catalogue.Recondition, "700.00")
	looked.Outcome = bid.Conditional
	asFound := priced(catalogue.AsFound, "500.00")
	b := subject(t, stopped, left, asFound, looked)
	best, found := b.best()
	if !found || best.Depth != catalogue.Recondition {
		t.Errorf("best is %s, %t", best.Depth, found)
	}
	if got := b.bestSays(best); got != "The most can be paid to recondition it: 700.00 GBP." {
		t.Errorf("got %q", got)
	}
	equal := priced(catalogue.Restore, "700.00")
	if best, _ = subject(t, looked, equal).best(); best.Depth != catalogue.Recondition {
		t.Errorf("of two equal ways the sheet names %s, want the first", best.Depth)
	}
	if got := b.bestSays(asFound); got != "The most can be paid to sell it as found: 500.00 GBP." {
		t.Errorf("got %q", got)
	}
	if _, found := subject(t, stopped, left).best(); found {
		t.Error("a stopped way and one to leave can be paid for")
	}
	asked := &pricing.Prospect{Sums: pricing.Sums{Price: pounds("650.00")}}
	looked.Negotiation.Asked = asked
	if got := b.bestSays(looked); !strings.HasSuffix(got, " The price asked is 650.00.") {
		t.Errorf("got %q", got)
	}
	above, most := pounds("40.00"), pounds("650.00")
	looked.Negotiation.AboveWanted, looked.Negotiation.PayAtMost = &above, &most
	if got := b.bestSays(looked); !strings.HasSuffix(got,
		" The seller asks 650.00, which leaves 40.00 more than is wanted: pay 650.00 at most.") {
		t.Errorf("got %q", got)
	}
}

func TestTheSumsLeaveOutWhatIsNothing(t *testing.T) {
	t.Parallel()
	w := priced(catalogue.Restore, "700.00")
	sums := &w.Negotiation.Aim.Sums
	sums.Profit = pounds("100.00")
	sums.Lines = []pricing.SumLine{
		{Item: pricing.ItemSale, Amount: pounds("1000.00")},
		{Item: pricing.ItemTax, Amount: pounds("-200.00")},
		{Item: pricing.ItemPremium, Amount: money.Zero(gbp)},
		{Item: pricing.ItemPrice, Amount: pounds("-700.00")},
		{Item: pricing.ItemProfit, Amount: pounds("100.00")},
	}
	want := "restore, aimed for: profit 100.00, wanted 90.00: sale 1000.00 − tax 200.00 − price 700.00"
	if got := subject(t).sums(w); got != want {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

func TestWaysOfOneReasonStandInOneLine(t *testing.T) {
	t.Parallel()
	way := func(depth catalogue.Depth, o bid.Outcome, why string) bid.WayResult {
		return bid.WayResult{Depth: depth, Outcome: o, Why: why}
	}
	got := subject(t, way(catalogue.AsFound, bid.Leave, "x"), way(catalogue.Recondition, bid.Leave, "x"),
		way(catalogue.Restore, bid.Conditional, "y"), way(catalogue.Restore, bid.Stopped, ""),
		way(catalogue.Restore, bid.Buy, "z")).caveats()
	want := []string{
		"as found, recondition: leave it: x.", "restore: on condition: y.",
		"restore: stopped, so there is no price before that is lifted.",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// A cell without a figure is empty, and a row without cells isn't there.
func TestTheTableHasRowsOnlyForWhatIsKnown(t *testing.T) {
	t.Parallel()
	cell := func(w bid.WayResult, row string) (string, bool) {
		for _, r := range subject(t, w).table() {
			if r[0] == row {
				return r[1], true
			}
		}
		return "", false
	}
	full := priced(catalogue.Restore, "700.00")
	full.Sale = &pricing.Range{
		Low: pounds("900.40"), High: pounds("1100.60"), Expected: pounds("1000.00"),
	}
	full.Estimate.Hours.Expected = domaintest.Dec("41.6")
	full.Estimate.Hours.Likely = domaintest.Dec("40")
	full.Undone = []bid.Undone{
		{Severity: catalogue.Attention},
		{Severity: catalogue.MustAct, Priced: true},
		{Severity: catalogue.MustAct},
	}
	full.Commissions = &bid.Commissions{Aim: &pricing.Commission{Share: domaintest.Dec("0.2917")}}
	full.AtAsked = &pricing.Sums{Profit: pounds("35.00")}
	full.Negotiation.Aim.ChanceOfLoss = domaintest.Dec("0.125")
	stopped := full
	stopped.Outcome = bid.Stopped
	left := full
	left.Outcome, left.Negotiation = bid.Leave, &bid.Negotiation{}
	left.Undone, left.Sale, left.Commissions, left.AtAsked = nil, nil, nil, nil
	left.Estimate.Hours.Expected = domaintest.Dec("0")
	older := full
	older.Negotiation = nil
	older.Advice = &pricing.Advice{Target: &pricing.Sums{Price: pounds("650.00")}}
	for _, c := range []struct {
		way       bid.WayResult
		row, want string
		there     bool
	}{
		{full, "advice", "BUY", true},
		{full, "hours of work", "42", true},
		{full, "sells for", "1000.00", true},
		{full, "aim for at most", "700.00", true},
		{full, "  chance of a loss", "12.5 %", true},
		{full, "  commission", "29.2 %", true},
		{full, "profit at the price asked", "35.00", true},
		{full, "findings left as they are", "3 (1 bad)", true},
		{stopped, "advice", "STOPPED", true},
		{stopped, "aim for at most", "no price", true},
		{stopped, "  commission", "", false},
		{stopped, "profit at the price asked", "", false},
		{left, "aim for at most", "none", true},
		{left, "  chance of a loss", "", false},
		{left, "hours of work", "40", true},
		{left, "sells for", "", false},
		{left, "  commission", "", false},
		{left, "findings left as they are", "", false},
		{older, "aim for at most", "650.00", true},
	} {
		if got, there := cell(c.way, c.row); got != c.want || there != c.there {
			t.Errorf("%s of a way to %s: %q, there %t; want %q, %t", c.row, c.way.Outcome, got, there,
				c.want, c.there)
		}
	}
	if got := span(*full.Sale); got != "900–1101" {
		t.Errorf("the range is %q", got)
	}
}

// Names stand to the left and what they name to the right, so that units stand under units.
func TestTheColumnsOfATableAreLinedUp(t *testing.T) {
	t.Parallel()
	got := tableLines([][]string{{"", "as found", "×"}, {"aim", "9.50", "−10.00"}})
	want := []string{"       as found       ×", "  aim      9.50  −10.00"}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

func TestALineIsBrokenWhereItIsFullAndNotBefore(t *testing.T) {
	t.Parallel()
	for room, want := range map[int]int{pageColumns - 2: 1, pageColumns - 1: 2} {
		text := strings.Repeat("w", room-10) + " " + strings.Repeat("v", 9)
		got := wrap(text, indent, continuation)
		if len(got) != want || utf8.RuneCountInString(got[0]) > pageColumns {
			t.Errorf("%d columns of text take %d lines, want %d", room, len(got), want)
		}
	}
}

func TestWhatIsLiftedSaysByWhat(t *testing.T) {
	t.Parallel()
	word := &clearance.Clearance{By: "Ada Fernwood", On: domaintest.JobDay, Says: "an idle web"}
	look := &clearance.Look{By: "Ada Fernwood", As: domain.Owner, On: domaintest.JobDay, Says: "sound"}
	for want, s := range map[string]clearance.Stop{
		". Cleared by Ada Fernwood on 2026-03-02: an idle web.":                {Clearance: word},
		". Then looked at again by Ada Fernwood (owner) on 2026-03-02: sound.": {Lifting: look},
		". It is mended.":              {Mended: true},
		". The work planned mends it.": {Repaired: true},
	} {
		if got := liftedBy(s); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

// What bars the deal comes first and what was lifted last; what holds at some ways only says which.
func TestDealBreakersStandByTheirWeightAndNameTheirWays(t *testing.T) {
	t.Parallel()
	in := domaintest.Grand()
	in.Covering, in.Owner = "plastic", instrument.Offered
	crack := domaintest.Stops(t, "GB", in, []survey.Finding{domaintest.Flag("SV-29", true)})
	cleared := slices.Clone(crack)
	cleared[0].Clearance = &clearance.Clearance{By: "Ada Fernwood", On: domaintest.JobDay, Says: "idle"}
	worm := domaintest.Stops(t, "GB", in, []survey.Finding{domaintest.Flag("SV-55", true)})
	asFound := bid.WayResult{Depth: catalogue.AsFound, Stops: slices.Concat(cleared, worm)}
	restore := bid.WayResult{Depth: catalogue.Restore, Stops: slices.Concat(worm, crack)}
	got := subject(t, asFound, restore).dealBreakers()
	if len(got) != 3 || !strings.HasPrefix(got[2], "At as found: Lifted: the frame is cracked") ||
		!strings.HasSuffix(got[2], "Cleared by Ada Fernwood on 2026-03-02: idle.") {
		t.Fatalf("got %q", got)
	}
	for _, begins := range []string{"At restore: the frame", "live woodworm"} {
		if !slices.ContainsFunc(got, func(x string) bool { return strings.HasPrefix(x, begins) }) {
			t.Errorf("no line begins with %q: %q", begins, got)
		}
	}
	// Bids up to engine 8 had stops of the scope and who cleared them.
	older := bid.WayResult{Depth: catalogue.Restore}
	older.Scope.Stops = []scope.Stop{{Point: "SV-29", Text: "cracked"}, {Point: "SV-53", Text: "legs"}}
	older.Cleared = []bid.ClearedPoint{{Point: "SV-53", By: "Ada Fernwood", Why: "braced"}}
	want := []string{"cracked", "Lifted: legs. Cleared by Ada Fernwood: braced"}
	if got := subject(t, older).dealBreakers(); !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestWhatNobodyLookedAtIsCountedWhereItMattersLittle(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	var minor []catalogue.PointCode
	for i := range c.Points {
		if !c.Points[i].HardStop {
			minor = append(minor, c.Points[i].Code)
		}
	}
	way := func(unknown ...catalogue.PointCode) bid.WayResult {
		w := bid.WayResult{Depth: catalogue.Restore}
		w.Scope.Unknown = unknown
		return w
	}
	for want, w := range map[string]bid.WayResult{
		"Every point was looked at.": way(),
		"Nobody looked at 1 point; none may stop the deal or is expected to cost hours.":  way(minor[0]),
		"Nobody looked at 2 points; none may stop the deal or is expected to cost hours.": way(minor[:2]...),
	} {
		if got := subject(t, w).looks(); !slices.Equal(got, []string{want}) {
			t.Errorf("got %q, want %q", got, want)
		}
	}
	// Of two ways the one counts at which it costs most; what costs hours stands by them.
	doubt := func(code catalogue.PointCode, hours, odds string) scope.Doubt {
		return scope.Doubt{Point: code, ExpectedHours: domaintest.Dec(hours), Outcomes: []scope.Outcome{
			{Odds: domaintest.Dec("1").Sub(domaintest.Dec(odds))},
			{Odds: domaintest.Dec(odds), Hours: catalogue.ThreePoint{Likely: domaintest.Dec("20")}},
		}}
	}
	less, more := way(minor[:2]...), way(minor[:2]...)
	less.Depth = catalogue.AsFound
	less.Scope.Doubts = []scope.Doubt{doubt(minor[0], "1", "0.1"), doubt(minor[1], "9", "0.1")}
	more.Scope.Doubts = []scope.Doubt{doubt(minor[0], "4", "0.2"), doubt(minor[1], "9", "0.1")}
	got := subject(t, less, more).looks()
	for i, want := range []string{
		fmt.Sprintf("%s 9.0 h on average at as found, 20 h at worst (10 %%): %s", minor[1],
			c.Point(minor[1]).Observe),
		fmt.Sprintf("%s 4.0 h on average at restore, 20 h at worst (20 %%): %s", minor[0],
			c.Point(minor[0]).Observe),
	} {
		if len(got) != 2 || got[i] != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

// However much nobody looked at, the sheet is one page and the cautions have their part of it.
func TestALongListOfLooksLeavesRoomForTheCautions(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	w := bid.WayResult{Depth: catalogue.Restore, Outcome: bid.Leave, Why: "x"}
	for i := range c.Points {
		w.Scope.Unknown = append(w.Scope.Unknown, c.Points[i].Code)
		w.Scope.Doubts = append(w.Scope.Doubts, scope.Doubt{
			Point: c.Points[i].Code, ExpectedHours: domaintest.Dec("3"), Outcomes: []scope.Outcome{{}},
		})
	}
	s := Of(subject(t, w))
	if s.height() > pageLines {
		t.Errorf("%d lines", s.height())
	}
	if looks := len(lines(s.Sections[1].Lines)); looks < leastLooks || s.height() < pageLines-2 {
		t.Errorf("%d lines of looks on a page of %d", looks, s.height())
	}
	if cautions := len(lines(s.Sections[5].Lines)); cautions < cautionLines-2 {
		t.Errorf("%d lines of cautions", cautions)
	}
}

func TestChancesAreToldWithoutCertainty(t *testing.T) {
	t.Parallel()
	for p, want := range map[string]string{
		"0": "below 1 in 200", "0.005": "0.5 %", "0.25": "25 %", "0.995": "99.5 %",
		"1": "above 199 in 200",
	} {
		if got := chance(domaintest.Dec(p)); got != want {
			t.Errorf("%s: got %q, want %q", p, got, want)
		}
	}
}
