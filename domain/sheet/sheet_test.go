package sheet_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/sheet"
	"bentside/domain/survey"

	"github.com/shopspring/decimal"
)

// bidFor returns a question for a grand with tired hammers, of which the given points were not
// looked at, to be bought as found or restored.
func bidFor(t testing.TB, unseen ...catalogue.PointCode) bid.Inputs {
	t.Helper()
	c := domaintest.Shipped(t)
	w := domain.Workshop{Name: "Fernwood Pianos", Zone: "Europe/Lisbon", Terms: domaintest.Terms(c)}
	w.Terms.TargetShare, w.Terms.BiddingStep = domaintest.Dec("0.12"), domaintest.Dec("50")
	w.Terms.UnknownOdds = domain.OddsFromChance(domaintest.Dec("0.4"))
	w.Terms.TaxRegime = domain.NoTax
	w.Terms.LossLimit, w.Terms.DaysOnFloor = domain.DefaultLossLimit, 110
	w.Open.Week = domain.DefaultWeek()
	asks := domaintest.Dec("2500")
	findings := slices.DeleteFunc(
		domaintest.SoundSurvey(
			c, catalogue.Grand, domaintest.Number("SV-33", "13", ""),
			domaintest.Number("SV-35", "7", ""),
		),
		func(f survey.Finding) bool { return slices.Contains(unseen, f.Point) },
	)
	way := func(depth catalogue.Depth, price string) bid.Way {
		return bid.Way{Depth: depth, SalePrice: domaintest.Dec(price)}
	}
	return bid.Inputs{
		Engine: bid.Engine, At: time.Date(2026, time.March, 2, 8, 0, 0, 0, time.UTC), Workshop: w,
		Instrument: domaintest.Grand(), Findings: findings,
		Asked: bid.Question{
			TransportIn: domaintest.Dec("380"), SellerAsks: &asks,
			Ways: []bid.Way{way(catalogue.AsFound, "9000"), way(catalogue.Restore, "26000")},
		},
	}
}

// sheetOf returns the sheet of a bid for its inputs, and the bid.
func sheetOf(t testing.TB, in bid.Inputs) (sheet.Sheet, bid.Result) {
	t.Helper()
	zone, err := time.LoadLocation(in.Workshop.Zone)
	if err != nil {
		t.Fatal(err)
	}
	c := domaintest.Shipped(t)
	r, err := bid.Compute(t.Context(), in, c, zone)
	if err != nil {
		t.Fatal(err)
	}
	return sheet.Of(sheet.Subject{Inputs: in, Result: r, Catalogue: c, Zone: zone}), r
}

// section returns the lines of a section, each on one line.
func section(t testing.TB, s sheet.Sheet, title string) string {
	t.Helper()
	for _, x := range s.Sections {
		if x.Title == title {
			return strings.Join(x.Lines, "\n")
		}
	}
	t.Fatalf("no section %q in\n%s", title, s.Text())
	return ""
}

// What the keys are covered with is on the instrument's record, so nobody has to look before the
// deal.
func TestWhatIsOnRecordIsNotToBeLookedAtFirst(t *testing.T) {
	t.Parallel()
	for covering, listed := range map[string]bool{"": true, "plastic": false} {
		in := bidFor(t, "SV-42")
		in.Instrument.Covering = covering
		s, r := sheetOf(t, in)
		if got := strings.Contains(section(t, s, "Look at first"), "SV-42"); got != listed ||
			got != (len(r.Ways[0].Unseen) > 0) {
			t.Errorf("keys on record as %q: listed %v, unseen %+v", covering, got, r.Ways[0].Unseen)
		}
	}
}

// The table shows the sale and the work of a piano that is fit, the sums count the case that it
// isn't: the sheet says so, or nobody could add up.
func TestTheSumsOnTheSheetSayThatADonorIsCountedIn(t *testing.T) {
	t.Parallel()
	in := bidFor(t, "SV-54", "SV-63")
	in.Asked.UnfitBrings = domaintest.Dec("300")
	s, r := sheetOf(t, in)
	unfit := r.Ways[1].Negotiation.Unfit.Shift(2).Round(1).String() + " %"
	want := "Counted in: " + unfit + " that it proves unfit, takes no work and brings 300.00"
	if got := section(t, s, "What the prices rest on"); !strings.Contains(got, want) {
		t.Errorf("want %q in\n%s", want, got)
	}
	s, _ = sheetOf(t, bidFor(t))
	if got := section(t, s, "What the prices rest on"); strings.Contains(got, "unfit") {
		t.Errorf("everything was looked at, and the sheet says\n%s", got)
	}
}

// A parted plank that stays takes nothing off the price by itself: the sheet names it where the
// depth is advised, until the buyer says what it takes off.
func TestABadFindingThatStaysIsNamedUntilItIsPriced(t *testing.T) {
	t.Parallel()
	in := bidFor(t)
	in.Findings = append(in.Findings, domaintest.Number("SV-15", "4", ""))
	in.Asked.SellerAsks = nil
	s, r := sheetOf(t, in)
	at := slices.IndexFunc(r.Ways, func(w bid.WayResult) bool {
		return w.Depth != catalogue.Restore && w.Negotiation != nil && w.Negotiation.Aim != nil
	})
	if at < 0 {
		t.Fatal("no way short of a restoration has a price: nothing to see")
	}
	const says = "leaves what must be acted on"
	if got := section(t, s, "What the prices rest on"); !strings.Contains(got, says) ||
		!strings.Contains(got, "(SV-15)") {
		t.Errorf("want the plank named in\n%s", got)
	}
	for i := range in.Asked.Ways {
		if in.Asked.Ways[i].Depth != catalogue.Restore {
			in.Asked.Ways[i].Defects = []bid.Defect{
				{Name: "plank parted", Point: "SV-15", Off: off("1", "2", "3")},
			}
		}
	}
	s, _ = sheetOf(t, in)
	if got := section(t, s, "What the prices rest on"); strings.Contains(got, "(SV-15)") {
		t.Errorf("it is priced, and named all the same in\n%s", got)
	}
}

// off returns what is taken off a price.
func off(low, likely, high string) catalogue.ThreePoint {
	return catalogue.ThreePoint{
		Low: domaintest.Dec(low), Likely: domaintest.Dec(likely), High: domaintest.Dec(high),
	}
}

// Whoever answers for buying without a look is named, and the point no longer stops the deal.
func TestWhoTookAPointOnStandsBesideIt(t *testing.T) {
	t.Parallel()
	in := bidFor(t, "SV-54", "SV-63")
	in.Asked.TakenOn = []bid.TakenOn{{Point: "SV-54", By: "A. Marrable", Why: "knows the house"}}
	s, _ := sheetOf(t, in)
	looks := strings.Split(section(t, s, "Look at first"), "\n")
	if len(looks) < 2 || !strings.HasPrefix(looks[0], "SV-63 may stop the deal; 5 % that ") ||
		!strings.HasPrefix(looks[1], "SV-54 taken on by A. Marrable") {
		t.Errorf("looks\n%s", strings.Join(looks, "\n"))
	}
}

// What a look is worth stands beside the point: the price to aim for once it is found sound, for
// what makes a donor of the piano and for what is repaired alike.
func TestALookSaysWhatASoundFindingIsWorth(t *testing.T) {
	t.Parallel()
	s, r := sheetOf(t, bidFor(t, "SV-53", "SV-63"))
	restore := r.Ways[1]
	seen := map[bid.IfBad]bool{}
	for _, u := range restore.Unseen {
		seen[u.IfBad] = true
		aim := restore.Negotiation.Aim.Price
		if u.AimIfSound == nil || u.AimIfSound.Cmp(aim) < 0 {
			t.Fatalf("%s found sound: aim for %v, open %s", u.Point, u.AimIfSound, aim)
		}
		want := "if sound, the aim stays at " + aim.Text()
		if gain := u.AimIfSound.Sub(aim); gain.Sign() > 0 {
			want = "if sound, aim for " + u.AimIfSound.Text() + " at restore: " + gain.Text() + " more"
		}
		if got := section(t, s, "Look at first"); !strings.Contains(got, want) {
			t.Errorf("%s: want %q in\n%s", u.Point, want, got)
		}
	}
	if !seen[bid.ByRepair] || !seen[bid.AsDonor] {
		t.Errorf("unseen %+v, want one to repair and one that makes a donor", restore.Unseen)
	}
}

// At an auction nobody asks a price and nobody walks away: there is an estimate, and a limit on the
// hammer, the planned one and the last.
// A piano that is worth something, and less than is asked, isn't advised without a word of that.
func TestAdviceIsHeldAgainstThePriceAsked(t *testing.T) {
	t.Parallel()
	in := bidFor(t)
	_, r := sheetOf(t, in)
	n := r.Ways[1].Negotiation
	for _, x := range []struct {
		asks decimal.Decimal
		want string
	}{
		{n.Aim.Price.Decimal(), "BUY"},
		{n.Aim.Price.Decimal().Add(domaintest.Dec("1")), "BUY BELOW THE ASK"},
		{n.WalkAway.Price.Decimal(), "BUY BELOW THE ASK"},
		{n.WalkAway.Price.Decimal().Add(domaintest.Dec("1")), "NOT AT THE ASK"},
	} {
		in.Asked.SellerAsks = &x.asks
		s, _ := sheetOf(t, in)
		i := slices.IndexFunc(s.Sections, func(x sheet.Section) bool { return x.Table != nil })
		if advice := s.Sections[i].Table[1]; advice[0] != "advice" || advice[2] != x.want {
			t.Errorf("asked %v the sheet says %q, want %q", x.asks, advice, x.want)
		}
	}
}

func TestAnAuctionsSheetSpeaksOfTheHammerAndTheEstimate(t *testing.T) {
	t.Parallel()
	in := bidFor(t)
	in.Asked.Ways = in.Asked.Ways[1:]
	haggled, _ := sheetOf(t, in)
	in.Asked.Sealed = true
	sealed, r := sheetOf(t, in)
	n := r.Ways[0].Negotiation
	auction := []string{
		"auction", "limit on the hammer, planned", "limit on the hammer, last", "profit at the estimate",
		"The estimate is 2500.00",
		"planned " + n.Aim.Price.Text() + ", last " + n.WalkAway.Price.Text(),
	}
	table := []string{
		"aim for at most", "walk away above", "profit at the price asked", "The seller asks",
		"pay at most", "open at", "price asked",
	}
	for _, x := range []struct {
		sheet     sheet.Sheet
		says, not []string
	}{{sealed, auction, table}, {haggled, table[:5], auction}} {
		text := strings.Join(strings.Fields(x.sheet.Text()), " ")
		for _, say := range x.says {
			if !strings.Contains(text, say) {
				t.Errorf("want %q in\n%s", say, x.sheet.Text())
			}
		}
		for _, say := range x.not {
			if strings.Contains(text, say) {
				t.Errorf("want no %q in\n%s", say, x.sheet.Text())
			}
		}
	}
}

// The rule: every default that moved a price or a date is listed with the result until the
// owner confirms it. All of them stand on the page, each once, and what is confirmed is gone.
func TestTheSheetListsEveryDefaultThatNobodyConfirmed(t *testing.T) {
	t.Parallel()
	in := bidFor(t, "SV-10", "SV-63")
	rates := in.Workshop.Terms.LabourRates
	for skill := range rates {
		rates[skill] = domain.DefaultLabourRate
	}
	in.Workshop.Terms = domain.DefaultTerms(in.Workshop.Terms.Currency)
	in.Workshop.Terms.LabourRates = rates
	in.AsShipped = catalogue.AsShipped{Operations: 80, Materials: 60}
	const title = "Assumed, confirmed by nobody"
	s, r := sheetOf(t, in)
	list := in.Assumptions(r)
	if len(list) < 20 {
		t.Fatalf("%d assumptions", len(list))
	}
	text := strings.Join(strings.Fields(s.Text()), " ")
	for _, a := range list {
		if strings.Count(section(t, s, title), a.Brief) != 1 || !strings.Contains(text, a.Brief) {
			t.Errorf("%s: want %q once in\n%s", a.Key, a.Brief, s.Text())
		}
	}
	if lines := strings.Count(s.Text(), "\n"); lines > 66 {
		t.Errorf("%d lines", lines)
	}
	for _, a := range list {
		in.Workshop.Confirmed = append(in.Workshop.Confirmed, a.Key)
	}
	s, _ = sheetOf(t, in)
	if got := section(t, s, title); !strings.HasPrefix(got, "Nothing") {
		t.Errorf("all confirmed, and the sheet lists\n%s", got)
	}
}

// A look that comes first takes the advice's cell: that the ask is too high is said below it.
func TestALookThatComesFirstDoesNotHideThatTheAskIsTooHigh(t *testing.T) {
	t.Parallel()
	in := bidFor(t, "SV-29")
	_, r := sheetOf(t, in)
	n := r.Ways[1].Negotiation
	for _, x := range []struct {
		asks decimal.Decimal
		want string
	}{
		{n.Aim.Price.Decimal(), ""},
		{n.Aim.Price.Decimal().Add(domaintest.Dec("1")), "BUY BELOW THE ASK"},
		{n.WalkAway.Price.Decimal().Add(domaintest.Dec("1")), "NOT AT THE ASK"},
	} {
		in.Asked.SellerAsks = &x.asks
		s, _ := sheetOf(t, in)
		i := slices.IndexFunc(s.Sections, func(x sheet.Section) bool { return x.Table != nil })
		table := s.Sections[i].Table
		got := ""
		if table[2][0] == "  and at the price asked" {
			got = table[2][2]
		}
		if table[1][2] != "IF LOOKED AT" || got != x.want {
			t.Errorf("asked %v the sheet says %q, then %q, want %q", x.asks, table[1][2], got, x.want)
		}
	}
}

// A crack makes a donor more often than worm does, and the law's points come before both; what may
// happen stands in words that can be read.
func TestLooksAreOrderedByWhatTheyMayCost(t *testing.T) {
	t.Parallel()
	s, _ := sheetOf(t, bidFor(t, "SV-29", "SV-55", "SV-61", "SV-10"))
	looks := strings.Split(section(t, s, "Look at first"), "\n")
	var order []string
	for _, x := range looks {
		order = append(order, strings.Fields(x)[0])
	}
	if got := strings.Join(order, " "); got != "SV-61 SV-29 SV-55 SV-10" {
		t.Errorf("order %s in\n%s", got, strings.Join(looks, "\n"))
	}
	for _, want := range []string{
		"SV-61 may stop the deal; the law decides", "SV-29 may stop the deal; 2 % that ",
		"SV-55 may stop the deal; 5 % that ",
	} {
		if !strings.Contains(strings.Join(looks, "\n"), want) {
			t.Errorf("want %q in\n%s", want, strings.Join(looks, "\n"))
		}
	}
}

// Prices stand before the premium only where one is paid.
func TestAPremiumIsSpokenOfWhereThereIsOne(t *testing.T) {
	t.Parallel()
	in := bidFor(t)
	for _, share := range []string{"0", "0.24"} {
		in.Asked.PremiumShare = domaintest.Dec(share)
		s, _ := sheetOf(t, in)
		if got := strings.Contains(s.Text(), "before premium"); got != (share != "0") {
			t.Errorf("premium %s: spoken of %v", share, got)
		}
	}
}
