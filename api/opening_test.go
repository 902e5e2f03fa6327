package api_test

import (
	"maps"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/openapi"
)

// The workshop case S-1 (worked example M, built from the rules of costing.md) as the old books had
// it when its work was done: purchase 4,800.00 on a margin invoice, share of the haulier 161.29,
// parts 203.00, labour 1,500.00, overhead 1,125.00, plating 640.00, in all 8,429.29.
const (
	oldPianos = "stock_number,kind,maker,model,serial,year,size_mm,notes,covering,finish,colour,action," +
		"bought_on,seller,paper,purchase_price,buyers_premium,transport_in,duty,parts,labour,overhead," +
		"outside_work,write_down,margin_open,margin_price,note\r\n" +
		"A17,grand,Aldermere,,41877,1911,1850,88,plastic,shellac,black,roller,2025-06-12,Edda Rosvall," +
		"lot 114,4000.00,800.00,161.29,,203.00,1500.00,1125.00,640.00,,yes,4800.00,\r\n" +
		"A18,upright,Fernwood,,,1931,1250,85,,,,,2025-09-01,,,1500.00,,60.48,,,,,,700.00,no,,\r\n"
	// the newer lot first: the order of the rows is not that of the days
	oldStock = "part,received_on,quantity,unit,value,reference,note\r\n" +
		"W-17,2026-02-01,6,coil,138.00,R-2,\r\nw-17,2025-11-15,250,,180.00,R-1,dry\r\n"
)

// untaxed returns four pianos of old books, of a workshop that charges no tax.
func untaxed(pianos string) string {
	header, rows, _ := strings.Cut(pianos, "\r\n")
	rows = strings.NewReplacer(",yes,4800.00,", ",,,", ",no,,", ",,,").Replace(rows)
	return header + "\r\n" + rows + strings.NewReplacer("A17", "B17", "A18", "B18").Replace(rows)
}

// openingShop is a workshop on the margin scheme with a part, on 2 March 2026.
func openingShop(t *testing.T) (owner *client, wire string) {
	t.Helper()
	monday := time.Date(2026, time.March, 2, 9, 0, 0, 0, time.UTC)
	owner = openShopAt(t, func() time.Time { return monday }).as(domain.Owner)
	onMargin(t, owner)
	class := newID(t).String()
	want[any](t, owner.do(http.MethodPut, "/v1/part-classes/"+class,
		map[string]any{"name": "wire", "method": "fifo"}, "If-None-Match: *"), http.StatusCreated)
	return owner, partOf(t, owner, class, "W-17")
}

const openMarch = "/v1/openings?opened_on=2026-03-01"

func TestAWorkshopOpensWithWhatItsOldBooksSay(t *testing.T) {
	t.Parallel()
	owner, wire := openingShop(t)
	files := archive(t, "old/pianos.csv", "\ufeff"+oldPianos, "old/stock.csv", oldStock)
	before := len(feed(t, owner))
	dry := want[openapi.Opening](t,
		owner.do(http.MethodPost, openMarch+"&dry_run=true", files, zipped), http.StatusOK)
	if got := len(feed(t, owner)); got != before || !dry.DryRun {
		t.Errorf("a dry run leaves %d events", got-before)
	}
	made := want[openapi.Opening](t, owner.do(http.MethodPost, openMarch, files, zipped,
		"Idempotency-Key: opening"), http.StatusCreated)
	if made.BalancesOn != "2026-02-28" || len(made.Files) != 2 {
		t.Fatalf("got %+v", made)
	}
	for i, w := range []string{
		"purchase_price 5500.00 buyers_premium 800.00 transport_in 221.77 parts 203.00 labour 1500.00 " +
			"overhead 1125.00 outside_work 640.00 write_down 700.00 margin_price 4800.00",
		"value 318.00",
	} {
		for _, o := range []openapi.Opening{dry, made} {
			if got := totalsOf(o.Files[i]); got != w || o.Files[i].Rows != 2 {
				t.Errorf("%s: %d rows come to %s, want %s", o.Files[i].File, o.Files[i].Rows, got, w)
			}
		}
	}
	again := owner.do(http.MethodPost, openMarch, files, zipped, "Idempotency-Key: opening")
	if again.header.Get("Idempotency-Replayed") != "true" {
		t.Errorf("under the same key it is not the same answer: %d", again.status)
	}
	for says, body := range map[string]string{
		"these very files": files, "with other files": archive(t, "stock.csv", oldStock),
	} {
		p := wantProblem(t, owner.do(http.MethodPost, openMarch, body, zipped), http.StatusConflict,
			"conflict")
		if !strings.Contains(p.Detail, says) || !strings.Contains(p.Detail, made.ID.String()) {
			t.Errorf("got %q, want that it opened %s", p.Detail, says)
		}
	}
	rows := want[openapi.OpeningRowPage](t, owner.do(http.MethodGet,
		"/v1/openings/"+made.ID.String()+"/rows", nil), http.StatusOK).Items
	var values []string
	for _, r := range rows {
		values = append(values, r.Value.Amount)
	}
	if !slices.Equal(values, []string{"8429.29", "860.48", "138.00", "180.00"}) {
		t.Errorf("the rows come to %v", values)
	}
	wantOpenedPianos(t, owner, rows)
	wantOpenedLots(t, owner, wire, rows)
}

func totalsOf(f openapi.OpeningFile) string {
	var all []string
	for _, x := range f.Totals {
		all = append(all, x.Column+" "+x.Amount.Amount)
	}
	return strings.Join(all, " ")
}

// wantOpenedPianos wants the sale side of S-1: sold for 9,600.00, tax 800.00, cost of sales
// 8,429.29, gross profit 370.71. The second piano stands at what its write-down has left, and cost
// what it did.
func wantOpenedPianos(t *testing.T, owner *client, rows []openapi.OpeningRow) {
	t.Helper()
	first := "/v1/instruments/" + rows[0].Record.String()
	second := "/v1/instruments/" + rows[1].Record.String()
	lines := want[openapi.CostLinePage](t, owner.do(http.MethodGet, first+"/cost/lines", nil),
		http.StatusOK).Items
	if len(lines) != 7 || lines[0].On != "2026-02-28" || lines[0].PostedOn != "2026-02-28" {
		t.Errorf("%d lines, the first %+v", len(lines), lines[0])
	}
	down := want[openapi.InstrumentOutcome](t, owner.do(http.MethodGet, second+"/outcome", nil),
		http.StatusOK).Account
	if down.Landed.Amount != "1560.48" || down.Carrying.Amount != "860.48" ||
		down.WrittenDown.Amount != "700.00" {
		t.Errorf("the piano that was written down: %+v", down)
	}
	documents := want[openapi.CostDocumentPage](t, owner.do(http.MethodGet,
		first+"/cost-documents", nil), http.StatusOK).Items
	if len(documents) != 2 || documents[0].On != "2025-06-12" ||
		documents[0].MarginPrice.Amount != "4800.00" {
		t.Fatalf("documents %+v", documents)
	}
	reversal := "/v1/cost-documents/" + documents[1].ID.String() + "/reversal"
	wantProblem(t, owner.do(http.MethodPost, reversal, map[string]any{"why": "no"}),
		http.StatusConflict, "conflict")
	buyer := newID(t).String()
	want[any](t, owner.do(http.MethodPut, "/v1/parties/"+buyer, map[string]any{"name": "Ivo Brandt"},
		"If-None-Match: *"), http.StatusCreated)
	sold := want[openapi.Sale](t, owner.do(http.MethodPost, first+"/sales", map[string]any{
		"buyer": buyer, "price": amount("9600.00"), "regime": "margin",
	}), http.StatusCreated)
	account := want[openapi.InstrumentOutcome](t, owner.do(http.MethodGet, first+"/outcome", nil),
		http.StatusOK).Account
	if sold.Tax.Due.Amount != "800.00" || account.CostOfSales.Amount != "8429.29" ||
		account.Margin.Amount != "370.71" {
		t.Errorf("sold %+v, account %+v", sold, account)
	}
	wantProblem(t, owner.do(http.MethodPost, second+"/sales", map[string]any{
		"buyer": buyer, "price": amount("2000.00"), "regime": "margin",
	}), http.StatusUnprocessableEntity, "validation")
}

// wantOpenedLots wants S-1 again: 10 coils at 18.00 and then 6 at 23.00, of which 12 go out for
// 226.00. What rests on the opening is named, and it is then taken back and made anew.
func wantOpenedLots(t *testing.T, owner *client, wire string, rows []openapi.OpeningRow) {
	t.Helper()
	issue := want[openapi.StockMove](t, owner.do(http.MethodPost, wire+"/moves", map[string]any{
		"kind": "issue", "quantity": "300", "note": "for the test stand",
	}), http.StatusCreated)
	if issue.Value.Amount != "-226.00" {
		t.Errorf("12 coils go out for %s, want those that came first", issue.Value.Amount)
	}
	wantProblem(t, owner.do(http.MethodPost, wire+"/moves", map[string]any{
		"kind": "reversal", "of": rows[2].Record, "note": "no",
	}), http.StatusConflict, "conflict")
	openings := want[openapi.OpeningPage](t, owner.do(http.MethodGet, "/v1/openings", nil),
		http.StatusOK).Items
	at := "/v1/openings/" + openings[0].ID.String()
	rests := wantProblem(t, owner.do(http.MethodPost, at+"/reversal",
		map[string]any{"why": "a lot is missing"}), http.StatusConflict, "conflict").Errors
	var named []string
	for _, x := range rests {
		named = append(named, x.Pointer)
	}
	if !slices.Equal(named, []string{"#/pianos.csv/2", "#/stock.csv/2", "#/stock.csv/3"}) {
		t.Errorf("what rests on it is named at %v", named)
	}
}

func TestAnOpeningOnWhichNothingRestsIsTakenBackAndMadeAnew(t *testing.T) {
	t.Parallel()
	owner, wire := openingShop(t)
	files := archive(t, "pianos.csv", oldPianos, "stock.csv", oldStock)
	open := func() openapi.Opening {
		return want[openapi.Opening](t, owner.do(http.MethodPost, openMarch, files, zipped),
			http.StatusCreated)
	}
	first := open()
	at := "/v1/openings/" + first.ID.String()
	back := want[openapi.Opening](t, owner.do(http.MethodPost, at+"/reversal",
		map[string]any{"why": "a lot is missing"}), http.StatusCreated)
	if back.Reversal == nil || back.Reversal.Why != "a lot is missing" {
		t.Errorf("got %+v", back)
	}
	wantProblem(t, owner.do(http.MethodPost, at+"/reversal", map[string]any{"why": "again"}),
		http.StatusConflict, "conflict")
	stock := stockOf(t, owner)
	if stock[0].Quantity.String() != "0" || stock[0].Value.Amount != "0.00" {
		t.Errorf("%s holds %+v", wire, stock[0])
	}
	if second := open(); second.Number != 2 {
		t.Errorf("got %+v", second)
	}
	pianos := want[openapi.InstrumentPage](t, owner.do(http.MethodGet, "/v1/instruments", nil),
		http.StatusOK).Items
	if len(pianos) != 2 {
		t.Fatalf("%d pianos, want the two that were there", len(pianos))
	}
	down := want[openapi.InstrumentOutcome](t, owner.do(http.MethodGet,
		"/v1/instruments/"+pianos[1].ID.String()+"/outcome", nil), http.StatusOK).Account
	if down.Carrying.Amount != "860.48" || down.WrittenDown.Amount != "700.00" {
		t.Errorf("the piano that was written down, opened anew: %+v", down)
	}
	looks := want[openapi.ValuationPage](t, owner.do(http.MethodGet,
		"/v1/instruments/"+pianos[1].ID.String()+"/valuations", nil), http.StatusOK).Items
	for i, written := range []string{"700.00", "-700.00", "700.00"} {
		if x := looks[i]; x.WrittenDown.Amount != written || x.PostedOn != "2026-02-28" {
			t.Errorf("look %d writes down %s on %s", x.Number, x.WrittenDown.Amount, x.PostedOn)
		}
	}
	got := want[openapi.InstrumentCost](t, owner.do(http.MethodGet,
		"/v1/instruments/"+pianos[0].ID.String()+"/cost", nil), http.StatusOK)
	if got.Spent.Inventory.Amount != "8429.29" || got.Purchase.Kind != "purchase" {
		t.Errorf("opened anew it stands at %+v", got.Spent)
	}
}

// A wrong figure is noticed after a week's work. The hours stay, and everything is opened anew.
func TestAnOpeningIsMadeAnewAfterHoursWereApprovedOnIt(t *testing.T) {
	t.Parallel()
	owner, wire := openingShop(t)
	clients := joined(t, owner).Job.String()
	ours := joinedWith(t, owner, map[string]string{"owner": "stock", "stock_number": "K-5"})
	bruno := hand(t, owner, "")
	header, _, _ := strings.Cut(oldPianos, "\r\n")
	open := func(purchase string) openapi.Opening {
		return want[openapi.Opening](t, owner.do(http.MethodPost, openMarch, archive(t,
			"pianos.csv", header+"\r\nK-5,,,,,,,,,,,,2026-01-10,,,"+purchase+
				",,,,,240.00,180.00,,,no,,\r\n",
			"stock.csv", oldStock,
			"client_jobs.csv", "job,parts,labour,overhead,outside_work,billed\r\n"+
				clients+",,240.00,180.00,,500.00\r\n",
		), zipped), http.StatusCreated)
	}
	first := open("1000.00")
	hours := func(on string) {
		for _, job := range []string{clients, ours.Job.String()} {
			want[any](t, owner.do(http.MethodPost, "/v1/time-entries", map[string]any{
				"person": bruno, "job": job, "operation": "DS-01", "minutes": 60, "worked_on": on,
			}), http.StatusCreated)
		}
	}
	approve := func(week string) {
		want[any](t, owner.do(http.MethodPost, "/v1/people/"+bruno+"/approvals",
			map[string]any{"week": week}), http.StatusCreated)
	}
	spent := func() (of []string) {
		for _, job := range []string{clients, ours.Job.String()} {
			of = append(of, want[openapi.JobCost](t, owner.do(http.MethodGet, "/v1/jobs/"+job+"/cost", nil),
				http.StatusOK).Spent.Management.Amount)
		}
		return of
	}
	hours("2026-03-02")
	approve("2026-03-02")
	worked := spent()
	// counted as the old books say, and a lot that came since
	want[any](t, owner.do(http.MethodPost, wire+"/moves", map[string]any{
		"kind": "count", "quantity": "400",
	}), http.StatusCreated)
	receipt := want[openapi.StockMove](t, owner.do(http.MethodPost, wire+"/moves", map[string]any{
		"kind": "receipt", "quantity": "25", "value": amount("20.00"),
	}), http.StatusCreated)
	back := func(o openapi.Opening) answer {
		return owner.do(http.MethodPost, "/v1/openings/"+o.ID.String()+"/reversal",
			map[string]any{"why": "a wrong price"})
	}
	rests := wantProblem(t, back(first), http.StatusConflict, "conflict").Errors
	if len(rests) != 1 || rests[0].Pointer != "#/stock.csv/2" ||
		!strings.Contains(rests[0].Detail, receipt.ID.String()) {
		t.Fatalf("what rests on it is %+v, want the lot that came since", rests)
	}
	want[any](t, owner.do(http.MethodPost, wire+"/moves", map[string]any{
		"kind": "reversal", "of": receipt.ID, "note": "for the opening",
	}), http.StatusCreated)
	want[any](t, back(first), http.StatusCreated)
	second := open("1100.00")
	if again := spent(); !slices.Equal(again, worked) || worked[0] == "420.00" {
		t.Errorf("opened anew the jobs have cost %v, want %v as before", again, worked)
	}
	bought := want[openapi.InstrumentCost](t, owner.do(http.MethodGet,
		"/v1/instruments/"+ours.Instrument.String()+"/cost", nil), http.StatusOK).Purchase
	if bought.Amount.Amount != "1100.00" {
		t.Errorf("the piano opened anew was bought as %+v", bought)
	}
	// Hours of before the opening are in the old books' figures: they would keep the next one out.
	hours("2026-02-27")
	approve("2026-02-23")
	rests = wantProblem(t, back(second), http.StatusConflict, "conflict").Errors
	var named []string
	for _, x := range rests {
		named = append(named, x.Pointer+" "+strings.Fields(x.Detail)[1])
	}
	if !slices.Equal(named, []string{"#/client_jobs.csv/2 cost", "#/pianos.csv/2 cost"}) {
		t.Errorf("what rests on it is named at %v", named)
	}
}

// openedWithAnOrder opens books with an order of 2 coils, and returns the opening and the order.
func openedWithAnOrder(t *testing.T, owner *client) (opening, order string) {
	t.Helper()
	files := archive(t, "orders.csv", "order,supplier,ordered_on,expected_on,part,quantity,unit,price,"+
		"currency,rate,job,note\nA 117,Felt & Wire,2026-02-10,2026-04-01,W-17,2,coil,50.00,,,,\n")
	made := want[openapi.Opening](t, owner.do(http.MethodPost, openMarch, files, zipped),
		http.StatusCreated)
	opening = "/v1/openings/" + made.ID.String()
	rows := want[openapi.OpeningRowPage](t, owner.do(http.MethodGet, opening+"/rows", nil),
		http.StatusOK).Items
	return opening, "/v1/orders/" + rows[0].Record.String()
}

func TestADeliveryThatWasTakenBackDoesNotRestOnAnOpening(t *testing.T) {
	t.Parallel()
	owner, wire := openingShop(t)
	opening, order := openedWithAnOrder(t, owner)
	back := func() answer {
		return owner.do(http.MethodPost, opening+"/reversal", map[string]any{"why": "a wrong price"})
	}
	came := want[openapi.Delivery](t, owner.do(http.MethodPost, order+"/deliveries", note("L 1", "2")),
		http.StatusCreated)
	rests := wantProblem(t, back(), http.StatusConflict, "conflict").Errors
	if len(rests) != 1 || !strings.HasPrefix(rests[0].Detail, "the delivery "+came.ID.String()) {
		t.Errorf("what rests on it is %+v, want the delivery", rests)
	}
	want[any](t, owner.do(http.MethodPost, wire+"/moves", map[string]any{
		"kind": "reversal", "of": came.Lines[0].Receipt, "note": "another's coils",
	}), http.StatusCreated)
	want[any](t, back(), http.StatusCreated)
	o := want[openapi.Order](t, owner.do(http.MethodGet, order, nil), http.StatusOK)
	if o.State != "cancelled" {
		t.Errorf("the order is %s", o.State)
	}
	openedWithAnOrder(t, owner)
}

// Taking an opening back cancels its orders; what was ordered since isn't cancelled unnoticed.
func TestAnOrderThatWasChangedRestsOnItsOpening(t *testing.T) {
	t.Parallel()
	owner, wire := openingShop(t)
	opening, order := openedWithAnOrder(t, owner)
	shown := owner.do(http.MethodGet, order, nil)
	o := want[openapi.Order](t, shown, http.StatusOK)
	part := strings.TrimPrefix(wire, "/v1/parts/")
	line := func(more map[string]any) map[string]any {
		return with(map[string]any{
			"part": part, "quantity": "2", "unit": "coil", "price": amount("50.00"),
		}, more)
	}
	want[any](t, owner.do(http.MethodPut, order, map[string]any{
		"supplier": o.Supplier, "currency": "EUR", "ordered_on": "2026-02-10",
		"expected_on": "2026-04-01", "reference": o.Reference,
		"lines": []any{line(map[string]any{"number": 1}), line(nil)},
	}, "If-Match: "+shown.header.Get("ETag")), http.StatusOK)
	back := func() answer {
		return owner.do(http.MethodPost, opening+"/reversal", map[string]any{"why": "a wrong price"})
	}
	rests := wantProblem(t, back(), http.StatusConflict, "conflict").Errors
	if len(rests) != 1 || rests[0].Pointer != "#/orders.csv/2" || rests[0].Detail !=
		"the change of the order "+o.ID.String()+" of 2026-03-02 rests on it" {
		t.Errorf("what rests on it is %+v, want the change of the order", rests)
	}
	want[any](t, owner.do(http.MethodPost, order+"/cancellation",
		map[string]any{"reason": "it is ordered anew"}), http.StatusCreated)
	want[any](t, back(), http.StatusCreated)
}

func TestEveryFaultOfAnOpeningIsNamedByFileLineAndColumn(t *testing.T) {
	t.Parallel()
	owner, _ := openingShop(t)
	pianos := strings.NewReplacer(
		"A17,grand", "A17,grande", "4800.00,\r\n", "4961.29,\r\n", "A18,", "A17,",
		",700.00,no", ",1700,no",
	).Replace(oldPianos)
	stock := strings.NewReplacer(
		"W-17,2026-02-01", "W-71,2026-03-01", ",250,", ",2.5.0,",
	).Replace(oldStock)
	for _, query := range []string{"", "&dry_run=true"} {
		p := wantProblem(t, owner.do(http.MethodPost, openMarch+query,
			archive(t, "pianos.csv", pianos, "stock.csv", stock), zipped),
			http.StatusUnprocessableEntity, "validation")
		var got []string
		for _, x := range p.Errors {
			got = append(got, x.Pointer+" "+strings.Fields(x.Detail)[0])
		}
		if wanted := []string{
			"#/pianos.csv/2 kind", "#/pianos.csv/2 margin_price",
			"#/pianos.csv/3 stock_number", "#/pianos.csv/3 write_down", "#/stock.csv/2 part",
			"#/stock.csv/2 received_on", "#/stock.csv/3 quantity",
		}; !slices.Equal(got, wanted) {
			t.Errorf("got\n%v, want\n%v\n%+v", got, wanted, p.Errors)
		}
	}
	if list := want[openapi.InstrumentPage](t, owner.do(http.MethodGet, "/v1/instruments", nil),
		http.StatusOK).Items; len(list) != 0 {
		t.Errorf("refused files left %d pianos", len(list))
	}
}

func stockOf(t *testing.T, owner *client) []openapi.StockedPart {
	t.Helper()
	return want[openapi.StockPage](t, owner.do(http.MethodGet, "/v1/stock", nil), http.StatusOK).Items
}

// joined takes over one client's piano, and returns its job.
func joined(t *testing.T, owner *client) openapi.JoinedPiano {
	t.Helper()
	return joinedWith(t, owner, map[string]string{"owner": "client", "client": "Odile Garriga"})
}

// joinedWith takes over one piano with some cells of its row.
func joinedWith(t *testing.T, owner *client, more map[string]string) openapi.JoinedPiano {
	t.Helper()
	form := string(owner.do(http.MethodGet, "/v1/joins/form", nil).body)
	row := func(cells map[string]string) string {
		var line []string
		for name := range strings.SplitSeq(strings.TrimSpace(form), ",") {
			line = append(line, cells[name])
		}
		return strings.Join(line, ",") + "\r\n"
	}
	piano := map[string]string{
		"row": "piano", "ref": "A", "kind": "grand", "maker": "Marrowby", "size_mm": "1850",
		"notes": "88", "depth": "restore", "accepted_on": "2026-01-12",
	}
	maps.Copy(piano, more)
	joining := form + row(piano) + row(map[string]string{
		"row": "task", "ref": "A", "operation": "DS-01", "hours_done": "6", "hours_left": "1",
	})
	return want[openapi.JoinReport](t, owner.do(http.MethodPost, "/v1/joins", joining, asCSV),
		http.StatusCreated).Pianos[0]
}

func TestAWorkshopOpensWithOrdersDeliveriesDepositsAndClientsJobs(t *testing.T) {
	t.Parallel()
	owner, wire := openingShop(t)
	job := joined(t, owner).Job.String()
	supplier := "Felt & Wire"
	files := archive(t, "pianos.csv", oldPianos, "stock.csv",
		strings.Split(oldStock, "\n")[0]+"\n"+strings.Split(oldStock, "\n")[2]+"\n",
		"orders.csv", "order,supplier,ordered_on,expected_on,part,quantity,unit,price,currency,rate,job,note\n"+
			"A 117,"+supplier+",2026-02-10,2026-04-01,W-17,2,coil,50.00,USD,0.90,,\n"+
			"A 117,"+supplier+",2026-02-10,2026-04-01,W-17,25,,24.99,USD,0.90,"+job+",for the bass\n",
		"deliveries.csv", "delivery_note,supplier,ordered_on,delivered_on,part,quantity,unit,price,"+
			"currency,rate,in_stock,note\nL 4411,"+supplier+",2026-01-02,2026-02-01,W-17,6,coil,138.00,,,4,\n",
		"deposits.csv", "stock_number,buyer,amount,taken_on,note\nA18,Ivo Brandt,250.00,2026-02-20,\n",
		"client_jobs.csv", "job,parts,labour,overhead,outside_work,billed\n"+job+",12.50,240.00,180.00,,500.00\n",
	)
	made := want[openapi.Opening](t, owner.do(http.MethodPost, openMarch, files, zipped),
		http.StatusCreated)
	for i, w := range []string{ // 50.00 and 24.99 USD at 0.90; 4 of 6 coils for 138.00
		"value 180.00", "price 67.49", "price 138.00 in_stock 92.00", "amount 250.00",
		"parts 12.50 labour 240.00 overhead 180.00 billed 500.00",
	} {
		if got := totalsOf(made.Files[i+1]); got != w {
			t.Errorf("%s comes to %s, want %s", made.Files[i+1].File, got, w)
		}
	}
	at := "/v1/openings/" + made.ID.String()
	rows := want[openapi.OpeningRowPage](t, owner.do(http.MethodGet, at+"/rows", nil),
		http.StatusOK).Items
	stock := stockOf(t, owner)
	if stock[0].Quantity.String() != "350" || stock[0].Value.Amount != "272.00" {
		t.Errorf("%s holds %+v, want 14 coils", wire, stock[0])
	}
	owed := want[openapi.UnbilledPage](t, owner.do(http.MethodGet, "/v1/unbilled-deliveries", nil),
		http.StatusOK).Items
	if len(owed) != 1 || owed[0].Value.Amount != "138.00" || owed[0].On != "2026-02-01" {
		t.Errorf("not billed is %+v", owed)
	}
	order := "/v1/orders/" + rows[3].Record.String()
	o := want[openapi.Order](t, owner.do(http.MethodGet, order, nil), http.StatusOK)
	if len(o.Lines) != 2 || o.Lines[1].Job.String() != job || o.State != "awaited" {
		t.Errorf("the order is %+v", o)
	}
	cost := want[openapi.JobCost](t, owner.do(http.MethodGet, "/v1/jobs/"+job+"/cost", nil),
		http.StatusOK)
	if cost.Spent.Inventory.Amount != "432.50" || cost.BilledBefore == nil ||
		cost.BilledBefore.Amount != "500.00" {
		t.Errorf("the client's job: %+v", cost)
	}
	for day, posted := range map[string]int{"2026-02-27": 0, "2026-02-28": 1} {
		wip := want[openapi.WorkInProgress](t, owner.do(http.MethodGet,
			"/v1/work-in-progress?as_of="+day, nil), http.StatusOK)
		if got := wip.Posted.Amount; got != []string{"0.00", "432.50"}[posted] {
			t.Errorf("work in progress on %s is %s", day, got)
		}
	}
	wantProblem(t, owner.do(http.MethodPost, wire+"/moves", map[string]any{
		"kind": "reversal", "of": rows[5].Used, "note": "no",
	}), http.StatusConflict, "conflict")
	deposits := "/v1/instruments/" + rows[1].Record.String() + "/deposits"
	held := func() openapi.Deposit {
		answer := owner.do(http.MethodGet, deposits, nil)
		return want[openapi.DepositPage](t, answer, http.StatusOK).Items[0]
	}
	if d := held(); d.Held.Amount != "250.00" || d.On != "2026-02-28" {
		t.Errorf("the deposit is %+v", d)
	}
	want[any](t, owner.do(http.MethodPost, at+"/reversal", map[string]any{"why": "a lot is missing"}),
		http.StatusCreated)
	if d := held(); d.Held.Amount != "0.00" || d.Reversed.Amount != "250.00" {
		t.Errorf("the deposit that never was: %+v", d)
	}
	o = want[openapi.Order](t, owner.do(http.MethodGet, order, nil), http.StatusOK)
	if o.State != "cancelled" {
		t.Errorf("the order is %s", o.State)
	}
	if left := want[openapi.UnbilledPage](t, owner.do(http.MethodGet, "/v1/unbilled-deliveries", nil),
		http.StatusOK).Items; len(left) != 0 {
		t.Errorf("still not billed: %+v", left)
	}
	again := want[openapi.Opening](t, owner.do(http.MethodPost, openMarch, files, zipped),
		http.StatusCreated)
	wantPaidAndBilled(t, owner, again, order)
}

// wantPaidAndBilled wants that bills, deliveries and releases go on from what came in, and then
// that each of them keeps the opening from being taken back.
func wantPaidAndBilled(t *testing.T, owner *client, o openapi.Opening, before string) {
	t.Helper()
	at := "/v1/openings/" + o.ID.String()
	rows := want[openapi.OpeningRowPage](t, owner.do(http.MethodGet, at+"/rows", nil),
		http.StatusOK).Items
	owed := want[openapi.UnbilledPage](t, owner.do(http.MethodGet, "/v1/unbilled-deliveries", nil),
		http.StatusOK).Items[0]
	// 6.00 more than was ordered: 4.00 for the 4 coils that are there, 2.00 for those that were used
	entered := owner.do(http.MethodPost, "/v1/supplier-bills", map[string]any{
		"supplier": owed.Supplier, "reference": "R 77", "on": "2026-02-10", "currency": "EUR",
		"lines": []any{map[string]any{
			"receipt": owed.Receipt, "quantity": "6", "unit": "coil", "amount": amount("144.00"),
		}},
		"tax": amount("0.00"), "total": amount("144.00"),
	})
	bill := want[openapi.SupplierBill](t, entered, http.StatusCreated)
	if bill.PostedOn != "2026-02-28" {
		t.Errorf("it counts on %s, want the day on which what it bills came in", bill.PostedOn)
	}
	stock := stockOf(t, owner)
	if stock[0].Value.Amount != "276.00" {
		t.Errorf("after the bill there are %+v", stock[0])
	}
	order := "/v1/orders/" + rows[3].Record.String()
	if order == before {
		t.Error("the order that was cancelled came back")
	}
	want[any](t, owner.do(http.MethodPost, order+"/deliveries", map[string]any{
		"reference": "L 4500", "lines": []any{map[string]any{"line": 1, "quantity": "50"}},
	}), http.StatusCreated)
	want[any](t, owner.do(http.MethodPost, "/v1/deposits/"+rows[6].Record.String()+"/releases",
		map[string]any{"how": "refunded", "why": "changed their mind"}), http.StatusCreated)
	var named []string
	for _, x := range wantProblem(t, owner.do(http.MethodPost, at+"/reversal",
		map[string]any{"why": "again"}), http.StatusConflict, "conflict").Errors {
		named = append(named, x.Pointer+" "+strings.Fields(x.Detail)[1])
	}
	if !slices.Equal(named, []string{
		"#/deliveries.csv/2 bill", "#/deliveries.csv/2 move", "#/deposits.csv/2 move",
		"#/orders.csv/2 delivery", "#/orders.csv/3 delivery", "#/stock.csv/2 move",
	}) {
		t.Errorf("what rests on it is named at %v", named)
	}
}

// What was moved before the opening is in the balances: it isn't entered again, where it would come
// before the lots that the books began with.
func TestNothingIsMovedBeforeTheBooksBegan(t *testing.T) {
	t.Parallel()
	owner, wire := openingShop(t)
	want[any](t, owner.do(http.MethodPost, openMarch, archive(t, "stock.csv", oldStock), zipped),
		http.StatusCreated)
	receipt := map[string]any{
		"kind": "receipt", "quantity": "1", "unit": "coil", "value": amount("99.00"), "on": "2026-02-28",
	}
	p := wantProblem(t, owner.do(http.MethodPost, wire+"/moves", receipt),
		http.StatusUnprocessableEntity, "validation")
	if len(p.Errors) != 1 || p.Errors[0].Pointer != "#/on" ||
		!strings.Contains(p.Errors[0].Detail, "must be 2026-03-01 or later") {
		t.Errorf("refused with %+v", p.Errors)
	}
	want[any](t, owner.do(http.MethodPost, wire+"/moves", with(receipt, map[string]any{
		"on": "2026-03-01",
	})), http.StatusCreated)
	out := want[openapi.StockMove](t, owner.do(http.MethodPost, wire+"/moves", map[string]any{
		"kind": "issue", "quantity": "250", "note": "for the bench",
	}), http.StatusCreated)
	if out.Value.Amount != "-180.00" {
		t.Errorf("250 m cost %s, want those of the oldest lot, 180.00", out.Value.Amount)
	}
}

// An opening that is taken back takes its lots back on the day on which they came in, as its costs,
// so that stock opened anew stands once, on each day.
func TestStockThatIsOpenedAnewStandsOnceOnEachDay(t *testing.T) {
	t.Parallel()
	owner, wire := openingShop(t)
	files := archive(t, "stock.csv", oldStock)
	first := want[openapi.Opening](t, owner.do(http.MethodPost, openMarch, files, zipped),
		http.StatusCreated)
	want[any](t, owner.do(http.MethodPost, "/v1/openings/"+first.ID.String()+"/reversal",
		map[string]any{"why": "too early"}), http.StatusCreated)
	want[any](t, owner.do(http.MethodPost, openMarch, files, zipped), http.StatusCreated)
	sums := map[string]int64{}
	for _, m := range want[openapi.StockMovePage](t, owner.do(http.MethodGet, wire+"/moves", nil),
		http.StatusOK).Items {
		sums[m.On] += minorOf(t, *m.Value)
		sums["posted on "+m.PostedOn] += minorOf(t, *m.Value)
	}
	want := map[string]int64{"2026-02-28": 318_00, "posted on 2026-02-28": 318_00}
	if !maps.Equal(sums, want) {
		t.Errorf("by day, stock comes to %v, want %v", sums, want)
	}
}

func TestFilesOfNothingButHeadersOpenNothing(t *testing.T) {
	t.Parallel()
	owner, _ := openingShop(t)
	header, _, _ := strings.Cut(oldStock, "\r\n")
	piano, _, _ := strings.Cut(oldPianos, "\r\n")
	for _, query := range []string{"", "&dry_run=true"} {
		p := wantProblem(t, owner.do(http.MethodPost, openMarch+query,
			archive(t, "stock.csv", header+"\r\n", "pianos.csv", piano+"\r\n"), zipped),
			http.StatusUnprocessableEntity, "validation")
		if len(p.Errors) != 1 || !strings.Contains(p.Errors[0].Detail, "nothing but headers") {
			t.Errorf("refused with %+v", p.Errors)
		}
	}
	p := wantProblem(t, owner.do(http.MethodPost, openMarch,
		archive(t, "old/stock.csv", oldStock, "old/./stock.csv", oldStock), zipped),
		http.StatusUnprocessableEntity, "validation")
	if len(p.Errors) != 1 || p.Errors[0].Pointer != "#/stock.csv" {
		t.Errorf("a file that is there twice is refused with %+v", p.Errors)
	}
	want[any](t, owner.do(http.MethodPost, openMarch,
		archive(t, "stock.csv", header+"\r\n", "pianos.csv", oldPianos), zipped), http.StatusCreated)
}
