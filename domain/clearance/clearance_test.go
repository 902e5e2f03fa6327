package clearance_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"

	"github.com/google/uuid"
	"pgregory.net/rapid"
)

// The law is the Ivory Act 2018 as the trade dossier sums it up (S90 to S92), unless a test names
// another. Trade facts are common practice, no source.

var (
	seller, other = uuid.UUID{1}, uuid.UUID{2}
	today         = domaintest.JobDay
)

// ivoryGrand returns the record of a grand with ivory keys that a seller offers to a UK shop.
func ivoryGrand(t *testing.T, year int) clearance.Record {
	t.Helper()
	in := domaintest.Grand()
	in.Covering, in.Year, in.Owner, in.Party = "ivory", year, instrument.Offered, seller
	return clearance.Record{Catalogue: domaintest.Shipped(t), Instrument: in, Country: "GB"}
}

// found returns the record of a grand offered to a UK shop of which something was found.
func found(t *testing.T, findings ...survey.Finding) clearance.Record {
	t.Helper()
	in := domaintest.Grand()
	in.Covering, in.Owner, in.Party = "plastic", instrument.Offered, seller
	return clearance.Record{
		Catalogue: domaintest.Shipped(t), Instrument: in, Country: "GB", Surveys: surveyed(findings...),
	}
}

// surveyed returns the one survey that found something.
func surveyed(findings ...survey.Finding) []survey.Survey {
	return []survey.Survey{{Findings: findings}}
}

func stops(t *testing.T, r clearance.Record) clearance.List {
	t.Helper()
	list, err := clearance.StopsOf(r)
	if err != nil {
		t.Fatal(err)
	}
	return list
}

// stop returns the stop of an id, which must be there.
func stop(t *testing.T, r clearance.Record, id string) clearance.Stop {
	t.Helper()
	list := stops(t, r)
	i := slices.IndexFunc(list, func(s clearance.Stop) bool { return s.ID == id })
	if i < 0 {
		t.Fatalf("no stop %s among %+v", id, list)
	}
	return list[i]
}

func ids(list clearance.List) []string {
	out := []string{}
	for _, s := range list {
		out = append(out, s.ID)
	}
	return out
}

// cleared returns the record with a clearance of a stop, which must be accepted.
func cleared(t *testing.T, r clearance.Record, c clearance.Clearance) clearance.Record {
	t.Helper()
	c.By, c.Says = "Ada Fernwood", "looked into"
	c, err := stops(t, r).Clear(c, domain.Owner, today)
	if err != nil {
		t.Fatal(err)
	}
	c.ID = uuid.UUID{9, byte(len(r.Clearances))}
	r.Clearances = append(slices.Clone(r.Clearances), c)
	return r
}

func papers(stop, reference string) clearance.Clearance {
	return clearance.Clearance{Stop: stop, Reference: reference, Dated: today}
}

func barred(s clearance.Stop) string {
	words := make([]string, len(s.Barred()))
	for i, a := range s.Barred() {
		words[i] = string(a)
	}
	return strings.Join(words, " ")
}

func crack(where string) survey.Finding {
	f := domaintest.Flag("SV-29", true)
	f.Where = where
	return f
}

func TestTheYearDecidesWhatTheIvoryActAsksFor(t *testing.T) {
	t.Parallel()
	for year, want := range map[int][]string{
		1904: {"ivory-register"}, 1946: {"ivory-register"},
		1947: {"ivory-register", "ivory-certify"}, 1974: {"ivory-register", "ivory-certify"},
		1975: {"ivory-too-late"}, 1979: {"ivory-too-late"}, 0: {"ivory-undated"},
	} {
		list := stops(t, ivoryGrand(t, year))
		if got := ids(list); !slices.Equal(got, want) {
			t.Errorf("made in %d: got %q, want %q", year, got, want)
		}
		for _, s := range list {
			if barred(s) != "buy offer sell" {
				t.Errorf("made in %d: %s bars %q, want the dealing and not the work", year, s.ID, barred(s))
			}
		}
	}
}

// What is on record of the keys counts as much as what the survey found.
func TestIvoryIsIvoryByRecordOrBySurvey(t *testing.T) {
	t.Parallel()
	r := found(t, domaintest.Answer("SV-42", "ivory"))
	r.Instrument.Year = 1904
	stop(t, r, "ivory-register")
	r.Surveys = surveyed(domaintest.Answer("SV-42", "plastic"))
	if got := stops(t, r); len(got) > 0 {
		t.Errorf("plastic keys are stopped by %q", ids(got))
	}
}

func TestTheSellerRegistersBeforeWeBuyAndWeBeforeWeOffer(t *testing.T) {
	t.Parallel()
	r := cleared(t, ivoryGrand(t, 1904), papers("ivory-register", "REG-1"))
	if s := stop(t, r, "ivory-register"); barred(s) != "" || s.Clearance.Reference != "REG-1" {
		t.Errorf("registered by its seller: bars %q, clearance %+v", barred(s), s.Clearance)
	}
	r.Instrument.Owner = instrument.Stock
	s := stop(t, r, "ivory-register")
	if barred(s) != "buy offer sell" || s.Lapsed == nil || !strings.Contains(s.Lapsed.Why, "owner") {
		t.Errorf("bought: bars %q, lapsed %+v; want our own registration asked for", barred(s), s.Lapsed)
	}
	r = cleared(t, r, papers("ivory-register", "REG-2"))
	if s := stop(t, r, "ivory-register"); barred(s) != "" || s.Clearance.Reference != "REG-2" {
		t.Errorf("registered by us: bars %q, clearance %+v", barred(s), s.Clearance)
	}
}

func TestAConsignedPianoKeepsItsOwnersPapers(t *testing.T) {
	t.Parallel()
	r := cleared(t, ivoryGrand(t, 1904), papers("ivory-register", "REG-1"))
	r.Instrument.Owner = instrument.Client
	if s := stop(t, r, "ivory-register"); barred(s) != "" {
		t.Errorf("taken in on commission it bars %q, though the owner is the same", barred(s))
	}
}

func TestWhatTheLawAsksForIsPapersByReferenceAndDate(t *testing.T) {
	t.Parallel()
	list := stops(t, ivoryGrand(t, 1904))
	said := clearance.Clearance{Stop: "ivory-register", By: "Ada Fernwood", Says: "applied for"}
	f := domaintest.FaultOf(second(list.Clear(said, domain.Owner, today)))
	if f == nil || len(f.Fields) != 2 || f.Fields[0].Pointer != "#/reference" ||
		f.Fields[1].Pointer != "#/dated" {
		t.Errorf("a registration applied for: got %v, want reference and date asked for", f)
	}
	said.Reference, said.Dated = "REG-1", today.AddDays(1)
	if f := domaintest.FaultOf(second(list.Clear(said, domain.Owner, today))); f == nil ||
		f.Fields[0].Pointer != "#/dated" {
		t.Errorf("papers of tomorrow: got %v", f)
	}
}

func second[T any](_ T, err error) error { return err }

func TestNobodyClearsIvoryOf1975OrLater(t *testing.T) {
	t.Parallel()
	r := ivoryGrand(t, 1979)
	for _, role := range domain.Roles {
		c := papers("ivory-too-late", "REG-1")
		c.By, c.Says = "Ada Fernwood", "the seller swears it is older"
		f := domaintest.FaultOf(second(stops(t, r).Clear(c, role, today)))
		if f == nil || f.Kind != domain.Conflict ||
			!strings.Contains(f.Detail, "doesn't mend the buying") {
			t.Errorf("%s: got %v, want a refusal that says why", role, f)
		}
	}
	r.Instrument.Covering = "plastic"
	if got := stops(t, r); len(got) > 0 {
		t.Errorf("re-covered by its seller it is stopped by %q", ids(got))
	}
}

// A clearance is for the country where the piano stands; elsewhere other law asks for other papers.
func TestPapersOfOneCountryAreNoneInAnother(t *testing.T) {
	t.Parallel()
	r := cleared(t, ivoryGrand(t, 1904), papers("ivory-register", "REG-1"))
	for country, want := range map[string]string{
		"FR": "ivory-eu", "US": "ivory-us", "CH": "ivory-elsewhere",
	} {
		r.Instrument.Country = country
		if s := stop(t, r, want); barred(s) == "" {
			t.Errorf("in %s the papers of the UK are taken", country)
		}
	}
	r = found(t, domaintest.Answer("SV-61", "brazilian_rosewood"))
	r.Country = "AT"
	r = cleared(t, r, papers("timber-certify", "A-77"))
	r.Instrument.Country = "FR"
	if s := stop(t, r, "timber-certify"); barred(s) == "" || s.Lapsed == nil ||
		!strings.Contains(s.Lapsed.Why, "stands in FR") {
		t.Errorf("moved from Austria to France: bars %q, lapsed %+v", barred(s), s.Lapsed)
	}
}

func TestACrackBarsBuyingMovingAndWorkUntilSomebodyAnswersForIt(t *testing.T) {
	t.Parallel()
	r := found(t, crack("bass strut"))
	if s := stop(t, r, "frame-cracked"); barred(s) != "buy move work" ||
		!strings.Contains(s.Text(), "while the scope holds FR-01") {
		t.Errorf("bars %q: %s", barred(s), s.Text())
	}
	c := clearance.Clearance{
		Stop: "frame-cracked", By: "Ada Fernwood", Says: "a web without load, as old as the frame",
	}
	for _, role := range []domain.Role{
		domain.Buyer, domain.Bench, domain.Viewer, domain.Bookkeeper,
	} {
		if got := domaintest.KindOf(second(stops(t, r).Clear(c, role, today))); got != domain.Forbidden {
			t.Errorf("%s: got %q, want it forbidden", role, got)
		}
	}
	c.Says = ""
	if f := domaintest.FaultOf(second(stops(t, r).Clear(c, domain.Manager, today))); f == nil ||
		f.Fields[0].Pointer != "#/says" {
		t.Errorf("cleared without what was found: %v", f)
	}
	r = cleared(t, r, clearance.Clearance{Stop: "frame-cracked"})
	if s := stop(t, r, "frame-cracked"); barred(s) != "" {
		t.Errorf("cleared, it bars %q", barred(s))
	}
}

// What somebody found out before we bought is as true afterwards; of a piano that comes from
// somebody else years later it is not.
func TestAWordHoldsThroughOurPurchaseAndNotForTheNextOwner(t *testing.T) {
	t.Parallel()
	r := cleared(t, found(t, crack("")), clearance.Clearance{Stop: "frame-cracked"})
	r.Instrument.Owner = instrument.Stock
	if s := stop(t, r, "frame-cracked"); barred(s) != "" {
		t.Errorf("bought, it bars %q", barred(s))
	}
	r.Instrument.Owner, r.Instrument.Party = instrument.Offered, other
	if s := stop(t, r, "frame-cracked"); barred(s) == "" || s.Lapsed == nil {
		t.Errorf("offered by somebody else: bars %q, lapsed %+v", barred(s), s.Lapsed)
	}
}

func TestAWorseFindingEndsAClearance(t *testing.T) {
	t.Parallel()
	grade := func(v string) survey.Finding { return domaintest.Number("SV-54", v, "") }
	bass, hitch, somewhere := crack("bass strut"), crack("hitch plate"), crack("")
	list := func(findings ...survey.Finding) []survey.Finding { return findings }
	for _, c := range []struct {
		name, stop  string
		before, now []survey.Finding
		lapses      bool
	}{
		{"the same crack again", "frame-cracked", list(bass), list(bass), false},
		{"a second crack", "frame-cracked", list(bass), list(bass, hitch), true},
		{"a place that is told later", "frame-cracked", list(somewhere), list(hitch), true},
		{"no place told any more", "frame-cracked", list(bass), list(somewhere), false},
		{"from twisted to failed", "structure-twisted", list(grade("3")), list(grade("4")), true},
		{"as twisted as it was", "structure-twisted", list(grade("3")), list(grade("3")), false},
		{"less than it seemed", "structure-twisted", list(grade("4")), list(grade("3")), false},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			r := cleared(t, found(t, c.before...), clearance.Clearance{Stop: c.stop})
			r.Surveys = surveyed(checked(t, r, c.now)...)
			s := stop(t, r, c.stop)
			if (s.Clearance == nil) != c.lapses || (s.Lapsed != nil) != c.lapses {
				t.Errorf("clearance %+v, lapsed %+v", s.Clearance, s.Lapsed)
			}
		})
	}
}

// checked returns findings as they are stored.
func checked(t *testing.T, r clearance.Record, findings []survey.Finding) []survey.Finding {
	t.Helper()
	list, err := survey.CheckFindings(r.Catalogue, r.Instrument.Kind, findings)
	if err != nil {
		t.Fatal(err)
	}
	return list
}

func TestAScopeThatHoldsTheRepairLiftsAStopOfTheTradeOnly(t *testing.T) {
	t.Parallel()
	line := func(code, chance string) scope.Line {
		return scope.Line{Operation: catalogue.Code(code), Chance: domaintest.Dec(chance)}
	}
	r := ivoryGrand(t, 1979)
	r.Surveys = surveyed(crack(""), domaintest.Number("SV-53", "4", ""))
	list := stops(t, r)
	stitched, perhaps := line("FR-01", "1"), line("FR-01", "0.4")
	plates, legs, keys := line("CS-10", "1"), line("CS-02L", "1"), line("KY-03", "1")
	for _, c := range []struct {
		name  string
		lines []scope.Line
		want  string // what still bars buying
	}{
		{"no repair", nil, "ivory-too-late frame-cracked legs-unsafe"},
		{"the crack stitched", []scope.Line{stitched}, "ivory-too-late legs-unsafe"},
		{"perhaps stitched", []scope.Line{perhaps}, "ivory-too-late frame-cracked legs-unsafe"},
		{"half of the legs", []scope.Line{plates}, "ivory-too-late frame-cracked legs-unsafe"},
		{"the legs mended", []scope.Line{legs, plates}, "ivory-too-late frame-cracked"},
		{"re-covered by us", []scope.Line{keys}, "ivory-too-late frame-cracked legs-unsafe"},
	} {
		left := list.In(scope.Scope{Lines: c.lines}).Barring(catalogue.ToBuy)
		if got := strings.Join(ids(left), " "); got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
	}
}

// The piano is fetched before anybody mends it: a repair that is planned frees the purchase and the
// work, and the move not before the repair is done or somebody has said how it is carried.
func TestAPlannedRepairDoesNotMakeThePianoFitToBeMoved(t *testing.T) {
	t.Parallel()
	line := func(code catalogue.Code) scope.Line {
		return scope.Line{Operation: code, Chance: domaintest.Dec("1")}
	}
	for _, c := range []struct {
		stop    string
		finding survey.Finding
		repair  []catalogue.Code
	}{
		{"frame-cracked", crack(""), []catalogue.Code{"FR-01"}},
		{"legs-unsafe", domaintest.Number("SV-53", "4", ""), []catalogue.Code{"CS-10", "CS-02L"}},
		{"worm-alive", domaintest.Flag("SV-55", true), []catalogue.Code{"CS-02", "CS-02L"}},
	} {
		t.Run(c.stop, func(t *testing.T) {
			t.Parallel()
			r := found(t, c.finding)
			s := scope.Scope{}
			for _, code := range c.repair {
				s.Lines = append(s.Lines, line(code))
			}
			planned := stops(t, r).In(s)
			if got := barred(planned[0]); got != "move" || !strings.Contains(planned[0].Text(),
				"this bars moving it until") || !strings.Contains(planned[0].Text(), "is done") {
				t.Errorf("planned, it bars %q: %s", got, planned[0].Text())
			}
			finished := map[catalogue.Code]bool{}
			done := func(code catalogue.Code, _ time.Time) bool { return finished[code] }
			for i, code := range c.repair {
				if got := barred(planned.After(done)[0]); got !=
					"move" {
					t.Errorf("%d of %d repairs done, it bars %q", i, len(c.repair), got)
				}
				finished[code] = true
			}
			if got := barred(planned.After(done)[0]); got != "" {
				t.Errorf("mended, it bars %q", got)
			}
			r = cleared(t, r, clearance.Clearance{Stop: c.stop})
			if got := barred(stops(t, r).In(s)[0]); got != "" {
				t.Errorf("cleared, it bars %q", got)
			}
		})
	}
}

// A registration is one owner's (source S92; each owner anew from memory): the seller's, shown
// again once the piano is ours, frees nothing. A certificate of the piano itself may serve again.
func TestTheSellersRegistrationIsNotOurs(t *testing.T) {
	t.Parallel()
	r := cleared(t, ivoryGrand(t, 1904), papers("ivory-register", "R 17"))
	r.Instrument.Owner = instrument.Stock
	for reference, want := range map[string][]string{
		"R 17": {"#/reference"}, " r 17 ": {"#/reference"}, "R 18": nil,
	} {
		c := papers("ivory-register", reference)
		c.By, c.Says = "Ada Fernwood", "looked into"
		_, err := stops(t, r).Clear(c, domain.Owner, today)
		var got []string
		if f := domaintest.FaultOf(err); f != nil {
			for _, x := range f.Fields {
				got = append(got, x.Pointer)
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("%q: refused at %q, want %q: %v", reference, got, want, err)
		}
	}
	r = ivoryGrand(t, 1904)
	r.Country = "AT"
	r = cleared(t, r, papers("ivory-eu", "ZB 7"))
	r.Instrument.Owner = instrument.Stock
	cleared(t, r, papers("ivory-eu", "ZB 7"))
}

// Cracked frames are bought for parts, ivory never: its loose pieces fall under no exemption.
func TestADonorMayBeCrackedAndNotOfIvory(t *testing.T) {
	t.Parallel()
	if got := stops(t, found(t, crack(""))).AsDonor().Barring(catalogue.ToBuy); len(got) > 0 {
		t.Errorf("a cracked donor is stopped by %q", ids(got))
	}
	if got := stops(t, ivoryGrand(t, 1904)).AsDonor().Barring(catalogue.ToBuy); len(got) == 0 {
		t.Error("ivory may be bought for parts")
	}
}

func TestAWithdrawnClearanceHoldsNoLonger(t *testing.T) {
	t.Parallel()
	r := cleared(t, found(t, crack("")), clearance.Clearance{Stop: "frame-cracked"})
	wrong := clearance.Clearance{
		Stop: "frame-cracked", By: "Ada Fernwood", Says: "the wrong piano", Withdraws: other,
	}
	if f := domaintest.FaultOf(second(stops(t, r).Clear(wrong, domain.Owner, today))); f == nil ||
		f.Fields[0].Pointer != "#/withdraws" {
		t.Errorf("a clearance that isn't there was withdrawn: %v", f)
	}
	r = cleared(t, r, clearance.Clearance{Stop: "frame-cracked", Withdraws: r.Clearances[0].ID})
	if s := stop(t, r, "frame-cracked"); barred(s) == "" {
		t.Error("the withdrawn clearance still holds")
	}
}

// Bone and what looks like it is suspect until somebody names it (S93).
func TestBoneIsNamedBeforeItIsDealtIn(t *testing.T) {
	t.Parallel()
	r := found(t, domaintest.Answer("SV-42", "bone"))
	if s := stop(t, r, "bone-unnamed"); barred(s) != "buy offer sell" {
		t.Errorf("bars %q", barred(s))
	}
	r = cleared(t, r, clearance.Clearance{Stop: "bone-unnamed"})
	r.Surveys = surveyed(domaintest.Answer("SV-42", "ivory"))
	r.Instrument.Year = 1904
	if s := stop(t, r, "ivory-register"); barred(s) == "" {
		t.Error("what was named bone and is ivory may be dealt in")
	}
}

// A workshop may give its points other codes and add hard stops; the law finds its points by their
// marks, and a trade stop is one where the workshop wants it to be.
func TestAWorkshopsOwnCatalogueIsObeyedSaveWhereTheLawSpeaks(t *testing.T) {
	t.Parallel()
	c := *domaintest.Shipped(t)
	c.Points = slices.Clone(c.Points)
	for i := range c.Points {
		p := &c.Points[i]
		switch p.Code {
		case "SV-42":
			p.Code, p.HardStop = "SX-42", false
		case "SV-29":
			p.HardStop = false
		case "SV-16":
			p.HardStop = true
		}
	}
	doc := c.Canonical()
	own, err := catalogue.Parse([]byte(strings.ReplaceAll(string(doc), "SV-42", "SX-42")))
	if err != nil {
		t.Fatal(err)
	}
	r := found(t, domaintest.Answer("SX-42", "ivory"), crack(""), domaintest.Number("SV-16", "4", ""))
	r.Catalogue, r.Instrument.Year = own, 1904
	if got, want := ids(stops(t, r)), []string{"ivory-register", "SV-16"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// Nobody has said where the workshop is: the law is that of a country nobody named, and says so.
func TestWithoutACountryTheAuthorityIsAsked(t *testing.T) {
	t.Parallel()
	r := ivoryGrand(t, 1904)
	r.Country = ""
	s := stop(t, r, "ivory-elsewhere")
	if barred(s) != "buy offer sell" || !strings.Contains(s.Text(), "in which country it stands") {
		t.Errorf("bars %q: %s", barred(s), s.Text())
	}
}

// Whatever was found on whatever piano, cleared as far as anybody may: what is left is what the law
// lets nobody clear, it bars dealing alone, and no scope lifts it.
func TestAfterEveryClearanceOnlyWhatNobodyMayClearIsLeft(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	owners := []instrument.Ownership{instrument.Offered, instrument.Stock, instrument.Client}
	rapid.Check(t, func(rt *rapid.T) {
		in := domaintest.Grand()
		in.Year = rapid.SampledFrom([]int{0, 1890, 1946, 1947, 1974, 1975, 1976, 2001}).Draw(rt, "year")
		in.Covering = rapid.SampledFrom([]string{"", "ivory", "bone", "plastic"}).Draw(rt, "covering")
		in.Owner = rapid.SampledFrom(owners).Draw(rt, "owner")
		r := clearance.Record{
			Catalogue: c, Instrument: in,
			Country: rapid.SampledFrom([]string{"", "GB", "DE", "US", "JP"}).Draw(rt, "country"),
			Surveys: surveyed(
				domaintest.Flag("SV-29", rapid.Bool().Draw(rt, "crack")),
				domaintest.Flag("SV-55", rapid.Bool().Draw(rt, "worm")),
				domaintest.Number("SV-53", rapid.SampledFrom([]string{"0", "4"}).Draw(rt, "legs"), ""),
				domaintest.Number("SV-54", rapid.SampledFrom([]string{"0", "3"}).Draw(rt, "rim"), ""),
				domaintest.Answer("SV-61",
					rapid.SampledFrom([]string{"none", "brazilian_rosewood"}).Draw(rt, "timber")),
			),
		}
		all := stops(t, r)
		for n, s := range all {
			paper := papers(s.ID, "REF-1")
			paper.By, paper.Says = "Ada Fernwood", "looked into"
			got, err := all.Clear(paper, domain.Owner, today)
			if (err == nil) != (s.Relief != catalogue.ByChange) {
				rt.Fatalf("%s by %s: %v", s.ID, s.Relief, err)
			}
			if err == nil {
				got.ID = uuid.UUID{9, byte(n)}
				r.Clearances = append(r.Clearances, got)
			}
		}
		everything := scope.Scope{}
		for _, op := range c.Operations {
			everything.Lines = append(
				everything.Lines, scope.Line{Operation: op.Code, Chance: domaintest.Dec("1")},
			)
		}
		for _, s := range stops(t, r).In(everything).Barring(catalogue.Acts...) {
			if s.Relief != catalogue.ByChange || !s.Law || barred(s) != "buy offer sell" {
				rt.Errorf("%s still bars %q", s.ID, barred(s))
			}
		}
		for _, s := range all.In(everything).Barring(catalogue.Acts...) {
			if !s.Law && len(s.Repair) > 0 && barred(s) != "move" {
				rt.Errorf("with all work in the scope %s bars %q", s.ID, barred(s))
			}
		}
		done := func(catalogue.Code, time.Time) bool { return true }
		for _, s := range all.In(everything).After(done).Barring(catalogue.Acts...) {
			if !s.Law && len(s.Repair) > 0 {
				rt.Errorf("with all work done %s bars %q", s.ID, barred(s))
			}
		}
	})
}

func TestPapersCoverNoActBeforeTheirDay(t *testing.T) {
	t.Parallel()
	r := cleared(t, ivoryGrand(t, 1904), papers("ivory-register", "REG-1"))
	for days, want := range map[int]string{-1: "buy offer sell", 0: "", 1: ""} {
		r.PapersBy = today.AddDays(days)
		s := stop(t, r, "ivory-register")
		if barred(s) != want || (s.Lapsed == nil) != (want == "") {
			t.Errorf("on %s it bars %q, lapsed %+v; want %q", r.PapersBy, barred(s), s.Lapsed, want)
		}
	}
}

func TestNoPapersAreOlderThanTheSchemeThatIssuesThem(t *testing.T) {
	t.Parallel()
	list := stops(t, ivoryGrand(t, 1960))
	for _, id := range []string{"ivory-register", "ivory-certify"} {
		c := papers(id, "REG-1")
		c.By, c.Says = "Ada Fernwood", "looked into"
		c.Dated = domain.Date{Year: 2021, Month: time.December, Day: 31}
		if f := domaintest.FaultOf(second(list.Clear(c, domain.Owner, today))); f == nil ||
			f.Fields[0].Pointer != "#/dated" {
			t.Errorf("%s of %s: got %v, want the date refused", id, c.Dated, f)
		}
		if c.Dated = c.Dated.AddDays(1); second(list.Clear(c, domain.Owner, today)) != nil {
			t.Errorf("%s of %s is refused", id, c.Dated)
		}
	}
}

// Glue brings no twisted case back: no work lifts what it bars, whatever is planned.
func TestATwistedStructureIsMendedByNoWork(t *testing.T) {
	t.Parallel()
	r := found(t, domaintest.Number("SV-54", "4", ""))
	s := scope.Scope{Lines: []scope.Line{{Operation: "BD-01", Chance: domaintest.Dec("1")}}}
	if got := barred(stops(t, r).In(s)[0]); got != "buy move work" {
		t.Errorf("to be glued, it bars %q", got)
	}
	if got := stops(t, r).AsDonor().Barring(catalogue.ToBuy); len(got) > 0 {
		t.Errorf("for its parts, it bars buying: %+v", got)
	}
}
