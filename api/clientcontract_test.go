package api_test

import (
	"net/http"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"bentside/domain"
	"bentside/openapi"
)

// contracted is a shop on a Monday with rates of 24.00 and 18.00 an hour, and a client's grand
// whose restoration was quoted at 4,200.00 and 23 %, with a deposit of 500.00 asked for, and
// accepted.
type contracted struct {
	offer
	*testing.T
	owner *client
	shop  *shop
	job   openapi.Job
	ada   string
	work  string // the address of the job
}

// contractMonday is the day on which the clients of the tests say yes.
var contractMonday = time.Date(2026, time.March, 2, 9, 0, 0, 0, time.UTC)

func contractedShop(t *testing.T) contracted {
	t.Helper()
	return contractedShopAt(t, func() time.Time { return contractMonday })
}

func contractedShopAt(t *testing.T, now func() time.Time) contracted {
	t.Helper()
	s := openShopAt(t, now)
	c := contracted{T: t, shop: s, owner: s.as(domain.Owner), ada: ""}
	onMargin(t, c.owner)
	want[openapi.Rates](t, c.owner.do(http.MethodPost, "/v1/rates", map[string]any{
		"from": "2026-01-01", "labour": "24.00", "overhead": "18.00", "normal_hours": "1600",
	}), http.StatusCreated)
	c.ada = hand(t, c.owner, "")
	c.offer = offerOf(t, s.as(domain.Manager))
	yes := want[openapi.Quotation](t, c.yes(c.quoted(c.light, c.deep), 2), http.StatusCreated)
	c.work = "/v1/jobs/" + yes.Job.String()
	c.job = want[openapi.Job](t, c.owner.do(http.MethodGet, c.work, nil), http.StatusOK)
	return c
}

func (c contracted) deposit(sum, day string) openapi.Deposit {
	c.Helper()
	return want[openapi.Deposit](c, c.owner.do(http.MethodPost, c.work+"/deposits", map[string]any{
		"buyer": c.party.ID, "amount": amount(sum), "on": day,
	}), http.StatusCreated)
}

func (c contracted) invoice(net string, more map[string]any) answer {
	return c.owner.do(http.MethodPost, c.work+"/invoices", with(map[string]any{
		"stage": "the strings are off", "net": amount(net),
	}, more))
}

func (c contracted) invoiced(net string, more map[string]any) openapi.ClientInvoice {
	c.Helper()
	return want[openapi.ClientInvoice](c, c.invoice(net, more), http.StatusCreated)
}

func (c contracted) contract(query string) openapi.Contract {
	c.Helper()
	return want[openapi.Contract](c, c.owner.do(http.MethodGet, c.work+"/contract"+query, nil),
		http.StatusOK)
}

// works books hours of a day on the first task and has them approved.
func (c contracted) works(day string, minutes int) {
	c.Helper()
	want[openapi.TimeEntry](c, c.owner.do(http.MethodPost, "/v1/time-entries", map[string]any{
		"person": c.ada, "job": c.job.ID, "operation": c.job.Tasks[0].Operation, "minutes": minutes,
		"worked_on": day,
	}), http.StatusCreated)
	monday, err := domain.ParseDate(day)
	if err != nil {
		c.Fatal(err)
	}
	for monday.In(time.UTC).Weekday() != time.Monday {
		monday = monday.AddDays(-1)
	}
	want[openapi.TimeApproval](c, c.owner.do(http.MethodPost, "/v1/people/"+c.ada+"/approvals",
		map[string]any{"week": monday.String()}), http.StatusCreated)
}

// wantSums compares some sums of a contract.
func wantSums(tb testing.TB, what string, s openapi.ContractSums, sums string) {
	tb.Helper()
	got := strings.Join([]string{
		s.Price.Amount, s.Cost.Amount, s.Invoiced.Amount, s.DepositsHeld.Amount, s.DepositsKept.Amount,
	}, " ")
	if got != sums {
		tb.Errorf("%s: price, cost, invoiced, held and kept are %s, want %s", what, got, sums)
	}
	if minorOf(tb, s.Revenue)-minorOf(tb, s.Invoiced) !=
		minorOf(tb, s.ContractAsset)-minorOf(tb, s.ContractLiability) {
		tb.Errorf("%s: what is earned and not invoiced doesn't add up: %+v", what, s)
	}
}

// Card L13: a client is quoted two ways, accepts one and leaves a deposit and a spending limit.
// What is found is done without asking as far as the limit goes, and waits for the client's word
// beyond it. A stage is invoiced with the deposit, more than was accepted isn't, and what is
// finished is earned whole.
func TestAClientsRestorationIsAContractOverTime(t *testing.T) {
	t.Parallel()
	c := contractedShop(t)
	// the quotation is the job: the other option isn't done, and the price is the accepted one
	refused := c.offer.job(c.light, nil)
	if refused.status == http.StatusCreated {
		t.Error("the option that wasn't accepted became a job too")
	}
	d := c.deposit("500.00", "2026-03-02")
	if d.Held.Amount != "500.00" || d.Job != c.job.ID || d.Applied.Amount != "0.00" {
		t.Errorf("the deposit is %+v, want it owed to the client", d)
	}
	x := c.contract("")
	wantSums(t, "before work", x.AsKnown.Sums, "4200.00 0.00 0.00 500.00 0.00")
	if x.AsKnown.Stage != "under_way" || x.AsKnown.Sums.Revenue.Amount != "0.00" ||
		x.Policy != "over_time" || x.Client != c.party.ID || len(x.Accepted) != 1 ||
		x.Accepted[0].Total.Amount != "5166.00" {
		t.Errorf("before work: %+v", x)
	}
	c.works("2026-03-02", 600) // 10 h at 42.00
	x = c.contract("")
	wantSums(t, "after ten hours", x.AsKnown.Sums, "4200.00 420.00 0.00 500.00 0.00")
	progress, _ := x.AsKnown.Progress.Float64()
	share := 420 / (float64(minorOf(t, x.AsKnown.Sums.ExpectedCost)) / 100)
	if progress <= 0 || progress >= 1 || progress-share > 1e-6 || share-progress > 1e-6 ||
		x.AsKnown.Sums.ContractAsset != x.AsKnown.Sums.Revenue {
		t.Errorf("after ten hours: progress is %v, want %v; %+v", progress, share, x.AsKnown.Sums)
	}

	// what it has cost is told apart from what our own pianos have
	wip := wantWIP(t, c.owner, "2026-03-02").Jobs
	if len(wip) != 1 || wip[0].Owner != "client" || wip[0].Known.Amount != "420.00" {
		t.Errorf("in progress: %+v", wip)
	}

	// what is found beyond the limit waits for the client
	want[openapi.SpendingLimit](t, c.owner.do(http.MethodPost, c.work+"/spending-limits",
		map[string]any{
			"limit": amount("123.00"), "party": c.party.ID, "agreed_on": "2026-03-02",
			"how": "by letter",
		}), http.StatusCreated)
	found := want[openapi.Proposal](t, c.owner.do(http.MethodPost, c.work+"/proposals", map[string]any{
		"says": "the pins turn by hand", "price": amount("1230.00"),
		"findings": []any{map[string]any{"point": "SV-11", "value": "1", "unit": "N·m"}},
	}), http.StatusCreated)
	if !found.NeedsConsent {
		t.Error("a variation above the spending limit needs nobody's word")
	}
	decision := c.work + "/proposals/" + found.ID.String() + "/decision"
	wantConflict(t, c.owner.do(http.MethodPost, decision, map[string]any{
		"accept": true, "reason": "it wouldn't hold its tuning",
	}), "above the spending limit")
	// and isn't invoiced before: the answer names what is missing
	wantConflict(t, c.invoice("4200.01", nil), "consent to 0.01 EUR more, without tax, is missing",
		"4200.00 EUR without tax", found.ID.String()+" of 1230.00 EUR waits for an answer")
	want[openapi.Proposal](t, c.owner.do(http.MethodPost, decision, map[string]any{
		"accept": true, "reason": "it wouldn't hold its tuning", "consent": map[string]any{
			"party": c.party.ID, "given_on": "2026-03-02", "how": "on the telephone",
		},
	}), http.StatusCreated)
	x = c.contract("")
	wantSums(t, "with the variation", x.AsKnown.Sums, "5200.00 420.00 0.00 500.00 0.00")

	// a stage is invoiced, and the deposit is earned with it
	i := c.invoiced("1000.00", map[string]any{"deposit": amount("500.00")})
	if i.Number != 1 || i.Tax.Amount != "230.00" || i.Total.Amount != "1230.00" ||
		i.Deposit.Amount != "500.00" || i.Due.Amount != "730.00" || i.Party != c.party.ID {
		t.Errorf("the invoice is %+v", i)
	}
	x = c.contract("")
	wantSums(t, "invoiced", x.AsKnown.Sums, "5200.00 420.00 1000.00 0.00 0.00")

	// the work is done and collected
	whole := want[openapi.Job](t, c.owner.do(http.MethodGet, c.work, nil), http.StatusOK)
	for _, task := range whole.Tasks {
		want[openapi.Job](t, c.owner.do(http.MethodPost,
			c.work+"/tasks/"+task.Operation+"/progress",
			map[string]any{"left": "0", "finished": true, "reason": "as it came"}), http.StatusCreated)
	}
	want[openapi.Job](t, c.owner.do(http.MethodPost, c.work+"/closing", map[string]any{
		"outcome": "finished", "closed_on": "2026-03-02",
	}), http.StatusOK)
	x = c.contract("")
	wantSums(t, "finished", x.AsKnown.Sums, "5200.00 420.00 1000.00 0.00 0.00")
	if s := x.AsKnown; s.Stage != "finished" || s.Progress.String() != "1" ||
		s.Sums.Revenue.Amount != "5200.00" || s.Sums.ContractAsset.Amount != "4200.00" ||
		s.Sums.Profit.Amount != "4780.00" {
		t.Errorf("finished: %+v", s)
	}
	c.invoiced("4200.00", map[string]any{"stage": "at the collection"})
	if s := c.contract("").AsKnown.Sums; s.ContractAsset.Amount != "0.00" ||
		s.ContractLiability.Amount != "0.00" {
		t.Errorf("all is invoiced: %+v", s)
	}
	wantConflict(t, c.invoice("0.01", nil), "is missing")
	wantConflict(t, c.owner.do(http.MethodPost, c.work+"/deposits", map[string]any{
		"buyer": c.party.ID, "amount": amount("1.00"),
	}), "it is closed")
	for _, e := range want[openapi.ContractPage](t, c.owner.do(http.MethodGet, "/v1/contracts", nil),
		http.StatusOK).Items {
		if e.Job != c.job.ID {
			t.Errorf("a contract that nobody made: %+v", e)
		}
	}
}

func TestAnInvoiceIsRefusedWithTheFieldThatItIsAbout(t *testing.T) {
	t.Parallel()
	c := contractedShop(t)
	c.deposit("500.00", "2026-03-02")
	for _, x := range []struct {
		what, net string
		more      map[string]any
		pointer   string
		says      string
	}{
		{"nothing", "0.00", nil, "#/net/amount", "more than 0"},
		{"below nothing", "-1.00", nil, "#/net/amount", "more than 0"},
		{
			"another currency", "1.00",
			map[string]any{"net": map[string]any{"amount": "1.00", "currency": "GBP"}},
			"#/net/currency", "must be EUR",
		},
		{"no stage", "1.00", map[string]any{"stage": " "}, "#/stage", "what stage"},
		{"tomorrow", "1.00", map[string]any{"on": "2026-03-03"}, "#/on", "2026-03-02"},
		{
			"before the job", "1.00",
			map[string]any{"on": "2026-03-01"},
			"#/on", "the acceptance of the job",
		},
		{"all of it is tax", "1.00", map[string]any{"tax_rate": "1"}, "#/tax_rate", "below 1"},
		{
			"more of the deposit than it comes to", "100.00",
			map[string]any{"deposit": amount("123.01")},
			"#/deposit/amount", "at most the total of the invoice, 123.00 EUR",
		},
	} {
		p := wantProblem(t, c.invoice(x.net, x.more), http.StatusUnprocessableEntity, "validation")
		if len(p.Errors) != 1 || p.Errors[0].Pointer != x.pointer ||
			!strings.Contains(p.Errors[0].Detail, x.says) {
			t.Errorf("%s: got %+v, want %q at %s", x.what, p.Errors, x.says, x.pointer)
		}
	}
	wantConflict(t, c.invoice("1000.00", map[string]any{"deposit": amount("500.01")}),
		"no more than 500.00 EUR")
	// more tax than was accepted is more than was accepted
	wantConflict(t, c.invoice("4200.00", map[string]any{"tax_rate": "0.25"}),
		"consent to 84.00 EUR more, tax included, is missing")
	if i := c.invoiced("4200.00", map[string]any{"tax_rate": "0"}); i.Tax.Amount != "0.00" ||
		i.Number != 1 {
		t.Errorf("free of tax: %+v; what was refused takes no number", i)
	}
	if list := c.invoices(); len(list) != 1 {
		t.Errorf("%d invoices are kept", len(list))
	}
}

func (c contracted) invoices() []openapi.ClientInvoice {
	c.Helper()
	return want[openapi.ClientInvoicePage](c, c.owner.do(http.MethodGet, c.work+"/invoices", nil),
		http.StatusOK).Items
}

// Rounding of tax on each paper takes nothing of the last one away.
func TestStagesAddUpToWhatWasAcceptedWhateverTheirTaxIsRoundedTo(t *testing.T) {
	t.Parallel()
	c := contractedShop(t)
	for _, net := range []string{"1033.37", "1033.37", "1033.37", "1099.89"} {
		c.invoiced(net, nil)
	}
	if s := c.contract("").AsKnown.Sums; s.Invoiced.Amount != "4200.00" {
		t.Errorf("%s is invoiced", s.Invoiced.Amount)
	}
	wantConflict(t, c.invoice("0.01", nil), "is missing")
}

func TestOurOwnPianoIsInvoicedToNobody(t *testing.T) {
	t.Parallel()
	c := contractedShop(t)
	c.work = "/v1/jobs/" + jobUnderWay(t, c.owner).ID.String()
	wantConflict(t, c.invoice("100.00", nil), "of our own", "price of its sale")
	wantConflict(t, c.owner.do(http.MethodPost, c.work+"/deposits", map[string]any{
		"buyer": c.party.ID, "amount": amount("1.00"),
	}), "of our own")
	wantConflict(t, c.owner.do(http.MethodGet, c.work+"/contract", nil), "of our own")
	wantConflict(t, c.owner.do(http.MethodPost, c.work+"/settlement", map[string]any{"why": "why"}),
		"of our own")
}

// What the client said yes to on the telephone had no price, and so nothing of it is invoiced.
func TestWithoutAPriceNothingIsInvoiced(t *testing.T) {
	t.Parallel()
	c := contractedShop(t)
	party, scope := clientsGrand(t, c.client)
	c.work = "/v1/jobs/" + clientsJob(t, c.client, party, scope).ID.String()
	wantConflict(t, c.invoice("100.00", nil), "consent to 100.00 EUR more", "no price was accepted")
}

func TestOfManyInvoicesAtOnceNoneIsAboveTheConsentAndNoNumberIsLeftOut(t *testing.T) {
	t.Parallel()
	c := contractedShop(t)
	var wg sync.WaitGroup
	answers := make([]answer, 8)
	for n := range answers {
		wg.Go(func() { answers[n] = c.invoice("1000.00", nil) })
	}
	wg.Wait()
	taken := 0
	for _, a := range answers {
		switch a.status {
		case http.StatusCreated:
			taken++
		case http.StatusConflict:
			wantConflict(t, a, "is missing")
		default:
			t.Errorf("got %d %s", a.status, a.body)
		}
	}
	list := c.invoices()
	if taken != 4 || len(list) != 4 {
		t.Errorf("%d invoices of 1,000 were taken and %d are kept of 4,200", taken, len(list))
	}
	for n, i := range list {
		if i.Number != int64(n+1) {
			t.Errorf("the invoice %d has the number %d", n+1, i.Number)
		}
	}
}

func TestAnInvoiceIsTakenBackOnceByACreditNoteThatRefersToIt(t *testing.T) {
	t.Parallel()
	c := contractedShop(t)
	c.deposit("300.00", "2026-03-02")
	c.deposit("200.00", "2026-03-02")
	i := c.invoiced("4200.00", map[string]any{"deposit": amount("400.00")})
	at := "/v1/client-invoices/" + i.ID.String()
	back := func() answer {
		return c.owner.do(http.MethodPost, at+"/credit-note", map[string]any{"why": "too early"})
	}
	note := want[openapi.ClientInvoice](t, back(), http.StatusCreated)
	if note.Kind != "credit_note" || note.Of != i.ID || note.Number != 2 ||
		note.Net.Amount != "-4200.00" || note.Total.Amount != "-5166.00" ||
		note.Deposit.Amount != "-400.00" || note.Note != "too early" {
		t.Errorf("the credit note is %+v", note)
	}
	wantConflict(t, back(), "taken back already", note.ID.String())
	wantConflict(t, c.owner.do(http.MethodPost, "/v1/client-invoices/"+note.ID.String()+"/credit-note",
		map[string]any{"why": "no"}), "is a credit note")
	if i = want[openapi.ClientInvoice](t, c.owner.do(http.MethodGet, at, nil),
		http.StatusOK); i.CreditedBy != note.ID || i.Net.Amount != "4200.00" {
		t.Errorf("the invoice is %+v", i)
	}
	list := want[openapi.DepositPage](t, c.owner.do(http.MethodGet, c.work+"/deposits", nil),
		http.StatusOK).Items
	if len(list) != 2 || list[0].Held.Amount != "300.00" || list[1].Held.Amount != "200.00" ||
		list[0].Applied.Amount != "0.00" {
		t.Errorf("the deposits are %+v, want them held again", list)
	}
	wantSums(t, "credited", c.contract("").AsKnown.Sums, "4200.00 0.00 0.00 500.00 0.00")
	c.invoiced("4200.00", map[string]any{"deposit": amount("500.00")})
}

// What an invoice took of a deposit is held again from the day of the credit note on, and isn't
// there for anything of a day before.
func TestADepositThatIsHeldAgainIsUsedFromThatDayOn(t *testing.T) {
	t.Parallel()
	var days atomic.Int64
	c := contractedShopAt(t, func() time.Time {
		return contractMonday.AddDate(0, 0, int(days.Load()))
	})
	d := c.deposit("500.00", "2026-03-02")
	i := c.invoiced("1000.00", map[string]any{"deposit": amount("500.00")})
	days.Store(4)
	want[any](t, c.owner.do(http.MethodPost, "/v1/client-invoices/"+i.ID.String()+"/credit-note",
		map[string]any{"why": "too early", "on": "2026-03-05"}), http.StatusCreated)
	again := func(on string) answer {
		return c.invoice("1000.00", map[string]any{"deposit": amount("400.00"), "on": on})
	}
	release := func(on string) answer {
		return c.owner.do(http.MethodPost, "/v1/deposits/"+d.ID.String()+"/releases", map[string]any{
			"how": "refunded", "amount": amount("100.00"), "why": "as agreed", "on": on,
		})
	}
	for _, a := range []answer{again("2026-03-04"), release("2026-03-04")} {
		wantPointers(t, wantProblem(t, a, http.StatusUnprocessableEntity, "validation"), "#/on")
	}
	want[openapi.Deposit](t, release("2026-03-05"), http.StatusCreated)
	want[openapi.ClientInvoice](t, again("2026-03-05"), http.StatusCreated)
}

// Normal losses are part of what the work takes, and what was got for scrap undoes none of it.
func TestScrapThatIsSoldIsNoStepBack(t *testing.T) {
	t.Parallel()
	c := contractedShop(t)
	c.works("2026-03-02", 60)
	before := c.contract("").AsKnown.Sums.Revenue
	want[any](t, c.owner.do(http.MethodPost, "/v1/instruments/"+c.job.Instrument.String()+
		"/other-costs", map[string]any{
		"kind": "scrap_sold", "purpose": "work", "job": c.job.ID, "amount": amount("10.00"),
		"note": "old strings",
	}), http.StatusCreated)
	if after := c.contract("").AsKnown.Sums.Revenue; after != before {
		t.Errorf("revenue went from %s to %s", before.Amount, after.Amount)
	}
}

// A job that is given up keeps what was invoiced and what is held, until each is refunded or kept.
func TestNothingVanishesWhenAClientThinksBetterOfIt(t *testing.T) {
	t.Parallel()
	c := contractedShop(t)
	d := c.deposit("500.00", "2026-03-02")
	c.works("2026-03-02", 60)
	c.invoiced("1000.00", nil)
	settle := func() answer {
		return c.owner.do(http.MethodPost, c.work+"/settlement", map[string]any{
			"why": "the client pays for the strings that were ordered",
		})
	}
	wantConflict(t, settle(), "work on it goes on")
	c.closed(c.job.ID)
	x := c.contract("")
	wantSums(t, "given up", x.AsKnown.Sums, "4200.00 42.00 1000.00 500.00 0.00")
	owed := minorOf(t, x.AsKnown.Sums.ContractLiability)
	if x.AsKnown.Stage != "given_up" || owed <= 0 || owed >= 100000 {
		t.Errorf("given up: %+v, want what isn't earned of the invoice owed", x.AsKnown)
	}
	wantConflict(t, settle(), "500.00 EUR of the client's deposits is held")
	release := func(how, sum string, taxed bool) {
		t.Helper()
		want[openapi.Deposit](t, c.owner.do(http.MethodPost, "/v1/deposits/"+d.ID.String()+"/releases",
			map[string]any{
				"how": how, "amount": amount(sum), "taxed": taxed, "why": "as agreed by letter",
			}), http.StatusCreated)
	}
	release("refunded", "380.00", false)
	release("forfeited", "120.00", true) // at 20 %, 20.00 of it is tax
	wantSums(t, "released", c.contract("").AsKnown.Sums, "4200.00 42.00 1000.00 0.00 100.00")
	got := want[openapi.Settlement](t, settle(), http.StatusCreated)
	if got.Job != c.job.ID || got.On != "2026-03-02" {
		t.Errorf("the settlement is %+v", got)
	}
	wantConflict(t, settle(), "was settled on 2026-03-02")
	wantConflict(t, c.invoice("1.00", nil), "was settled on 2026-03-02")
	x = c.contract("")
	wantSums(t, "settled", x.AsKnown.Sums, "4200.00 42.00 1000.00 0.00 100.00")
	if x.AsKnown.Stage != "settled" || x.AsKnown.Sums.Revenue.Amount != "1000.00" ||
		x.Settlement.On != got.On {
		t.Errorf("settled: %+v", x)
	}
}

// A client's deposit has nothing to do with what buyers leave for the same instrument.
func TestADepositForAJobIsTheClientsAndIsInNoSale(t *testing.T) {
	t.Parallel()
	c := contractedShop(t)
	other := newID(t).String()
	want[openapi.Party](t, c.owner.do(http.MethodPut, "/v1/parties/"+other,
		map[string]any{"name": "Ivo Brandt"}, "If-None-Match: *"), http.StatusCreated)
	p := wantProblem(t, c.owner.do(http.MethodPost, c.work+"/deposits", map[string]any{
		"buyer": other, "amount": amount("1.00"),
	}), http.StatusUnprocessableEntity, "validation")
	if p.Errors[0].Pointer != "#/buyer" {
		t.Errorf("got %+v", p.Errors)
	}
	c.deposit("500.00", "2026-03-02")
	if list := want[openapi.DepositPage](t, c.owner.do(http.MethodGet, c.at()+"/deposits", nil),
		http.StatusOK).Items; len(list) != 0 {
		t.Errorf("the instrument has deposits of buyers: %+v", list)
	}
}

// The other policy is a setting.
func TestAWorkshopMayCountRevenueAtTheEnd(t *testing.T) {
	t.Parallel()
	c := contractedShop(t)
	shop := c.owner.do(http.MethodGet, "/v1/workshop", nil)
	settings := want[map[string]any](t, shop, http.StatusOK)
	if settings["client_revenue"] != "over_time" {
		t.Errorf("by default it is %v", settings["client_revenue"])
	}
	for _, key := range []string{"id", "version", "created_at"} {
		delete(settings, key)
	}
	settings["client_revenue"] = "on_completion"
	want[openapi.Workshop](t, c.owner.do(http.MethodPut, "/v1/workshop", settings,
		"If-Match: "+shop.header.Get("ETag")), http.StatusOK)
	c.works("2026-03-02", 60)
	x := c.contract("")
	if s := x.AsKnown.Sums; x.Policy != "on_completion" || s.Revenue.Amount != "0.00" ||
		s.Deferred.Amount != "42.00" || s.Expensed.Amount != "0.00" {
		t.Errorf("under way: %+v", s)
	}
}

// What is dated in closed books counts on the first open day; a past day is told both ways.
func TestAnInvoiceInClosedBooksCountsOnTheFirstOpenDay(t *testing.T) {
	t.Parallel()
	c := contractedShop(t)
	o := offerOf(t, c.client)
	q := want[openapi.Quotation](t, c.owner.do(http.MethodPost, o.at()+"/quotations", map[string]any{
		"party": o.party.ID, "quoted_on": "2026-02-20", "valid_until": "2026-04-30",
		"deposit": amount("500.00"), "options": []any{map[string]any{
			"scope": o.light.ID, "title": "Reconditioned", "net": amount("4200.00"), "tax_rate": "0.2",
		}},
	}), http.StatusCreated)
	yes := want[openapi.Quotation](t, c.owner.do(http.MethodPost,
		"/v1/quotations/"+q.ID.String()+"/answer",
		map[string]any{"accepted": true, "option": 1, "on": "2026-02-20"}), http.StatusCreated)
	c.offer, c.work = o, "/v1/jobs/"+yes.Job.String()
	c.job = want[openapi.Job](t, c.owner.do(http.MethodGet, c.work, nil), http.StatusOK)
	want[any](t, c.owner.do(http.MethodPost, "/v1/book-closings",
		map[string]any{"through": "2026-02-28"}), http.StatusCreated)

	d := c.deposit("500.00", "2026-02-23")
	wantDays(t, "the deposit", d.On, d.PostedOn, "2026-02-23", "2026-03-01")
	i := c.invoiced("1000.00", map[string]any{"on": "2026-02-25", "deposit": amount("300.00")})
	wantDays(t, "the invoice", i.On, i.PostedOn, "2026-02-25", "2026-03-01")
	c.works("2026-02-26", 120) // approved today
	x := c.contract("?as_of=2026-02-28")
	wantSums(t, "as posted", x.AsPosted.Sums, "4200.00 0.00 0.00 0.00 0.00")
	wantSums(t, "as known", x.AsKnown.Sums, "4200.00 84.00 1000.00 200.00 0.00")
	x = c.contract("?as_of=2026-02-24")
	wantSums(t, "before the invoice", x.AsKnown.Sums, "4200.00 0.00 0.00 500.00 0.00")
	x = c.contract("")
	if x.AsPosted.Sums != x.AsKnown.Sums || !x.AsPosted.Progress.Equal(x.AsKnown.Progress) {
		t.Errorf("today both are the same: %+v and %+v", x.AsPosted, x.AsKnown)
	}
	all := want[openapi.ContractPage](t, c.owner.do(http.MethodGet, "/v1/contracts?as_of=2026-02-28",
		nil), http.StatusOK)
	if all.Count != 1 || all.AsKnown.Invoiced.Amount != "1000.00" {
		t.Errorf("all contracts of the day: %+v", all)
	}
	all = want[openapi.ContractPage](t, c.owner.do(http.MethodGet, "/v1/contracts?limit=1", nil),
		http.StatusOK)
	if all.Count != 2 || len(all.Items) != 1 || all.NextCursor == "" ||
		all.AsKnown.Price.Amount != "8400.00" {
		t.Errorf("all contracts of today: %+v", all)
	}
	p := wantProblem(t, c.owner.do(http.MethodGet, c.work+"/contract?as_of=2026-03-03", nil),
		http.StatusUnprocessableEntity, "validation")
	if p.Errors[0].Pointer != "#/query/as_of" {
		t.Errorf("tomorrow: %+v", p.Errors)
	}
	note := want[openapi.ClientInvoice](t, c.owner.do(http.MethodPost,
		"/v1/client-invoices/"+i.ID.String()+"/credit-note",
		map[string]any{"on": "2026-02-27", "why": "too early"}), http.StatusCreated)
	wantDays(t, "the credit note", note.On, note.PostedOn, "2026-02-27", "2026-03-01")
}
