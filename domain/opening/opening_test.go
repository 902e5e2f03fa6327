package opening_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/cost"
	"bentside/domain/opening"
	"bentside/domain/stock"
	"bentside/pricing/money"
	"bentside/pricing/valuation"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

var (
	eur   = money.MustCurrency("EUR")
	march = domain.Date{Year: 2026, Month: time.March, Day: 1}
	wire  = stock.Part{
		ID: uuid.UUID{1}, Code: "W-17", Unit: "m", PurchaseUnit: "coil", Content: decimalOf("25"),
	}
	job = uuid.UUID{7}
)

// workshop is what the rows are checked against: on the margin scheme, with a part and a client's
// job.
func workshop() opening.Setting {
	return opening.Setting{
		Currency: eur, Regime: domain.MarginTax, OpenedOn: march, Today: march.AddDays(1),
		Pianos: map[string]opening.KnownPiano{},
		Parts: map[string]opening.KnownPart{
			"w-17": {Part: wire, Method: valuation.FIFO},
			"m-1": {
				Part:   stock.Part{ID: uuid.UUID{2}, Code: "M-1", Unit: "piece"},
				Method: valuation.MovingAverage,
			},
		},
		Jobs: map[uuid.UUID]opening.KnownJob{
			job: {Instrument: uuid.UUID{8}, Clients: true, Open: true},
		},
	}
}

// fatal is a test, a property or a fuzz target.
type fatal interface {
	Helper()
	Fatalf(format string, args ...any)
}

// file returns a file of rows below the header of its form, each row a list of "column=cell".
func file(tb fatal, name opening.FileName, rows ...string) catalogue.File {
	tb.Helper()
	forms := opening.Forms()
	at := slices.IndexFunc(forms, func(f catalogue.File) bool { return f.Name == string(name) })
	header := strings.TrimSpace(string(forms[at].Body))
	text := header + "\n"
	for _, row := range rows {
		cells := map[string]string{}
		for pair := range strings.SplitSeq(row, "; ") {
			column, cell, _ := strings.Cut(pair, "=")
			cells[column] = cell
		}
		var line []string
		for column := range strings.SplitSeq(header, ",") {
			line = append(line, cells[column])
			delete(cells, column)
		}
		if len(cells) > 0 {
			tb.Fatalf("%s has no columns %v", name, cells)
		}
		text += strings.Join(line, ",") + "\n"
	}
	return catalogue.File{Name: string(name), Body: []byte(text)}
}

const grand = "stock_number=A17; kind=grand; maker=Aldermere; size_mm=1850; notes=88; " +
	"bought_on=2025-06-12; purchase_price=4000.00; buyers_premium=800.00; margin_open=yes; " +
	"margin_price=4800.00"

// told returns what is wrong with files, as "file:line:column detail".
func told(tb testing.TB, s opening.Setting, files ...catalogue.File) []string {
	tb.Helper()
	err := opening.Read(files).Check(s)
	if err == nil {
		return nil
	}
	var f *domain.Fault
	if !errors.As(err, &f) || f.Kind != domain.Invalid {
		tb.Fatal(err)
	}
	var list []string
	for _, x := range f.Fields {
		list = append(list, fmt.Sprintf("%s:%d %s", strings.TrimPrefix(x.Pointer, "#/"), x.Column, x.Detail))
	}
	return list
}

func TestAFormIsReadAsItIsHandedOut(t *testing.T) {
	t.Parallel()
	want := []string{"#:0 must hold at least one row: the files that came are nothing but headers, " +
		"so that there is nothing to open the books with"}
	if faults := told(t, workshop(), opening.Forms()...); !slices.Equal(faults, want) {
		t.Errorf("the empty forms: %v", faults)
	}
	plain := string(file(t, opening.PianosFile, grand).Body)
	for name, text := range map[string]string{
		"plain": plain, "with a byte order mark": "\ufeff" + plain,
		"with returns": strings.ReplaceAll(plain, "\n", "\r\n"),
	} {
		b := opening.Read([]catalogue.File{{Name: "pianos.csv", Body: []byte(text)}})
		if err := b.Check(workshop()); err != nil || len(b.Pianos) != 1 ||
			b.Pianos[0].Carrying() != money.MustParse("4800.00 EUR") {
			t.Errorf("%s: %v, %+v", name, err, b.Pianos)
		}
	}
}

func TestWhatIsWrongInARowIsNamed(t *testing.T) {
	t.Parallel()
	const order = "order=A 1; supplier=Felt & Wire; ordered_on=2026-02-01; expected_on=2026-04-01; " +
		"part=W-17; quantity=2; unit=coil; price=36.00"
	const delivery = "delivery_note=L 1; supplier=Felt & Wire; ordered_on=2026-01-02; " +
		"delivered_on=2026-02-01; part=W-17; quantity=6; unit=coil; price=138.00"
	const deposit = "stock_number=A17; buyer=Ivo Brandt; amount=250.00; taken_on=2026-02-01"
	for _, x := range []struct {
		file     opening.FileName
		row      string
		was, is  string
		expected string
	}{
		{opening.PianosFile, grand, "margin_price=4800.00", "margin_price=4800.01", "at most 4800.00"},
		{opening.PianosFile, grand, "margin_open=yes", "margin_open=no", "must be empty where the margin"},
		{opening.PianosFile, grand, "margin_open=yes; margin_price=4800.00", "margin_open=", "yes or no"},
		{opening.PianosFile, grand, "2025-06-12", "2026-03-01", "must be before 2026-03-01"},
		{opening.PianosFile, grand, "bought_on=2025-06-12", "bought_on=12.6.2025", "a day like"},
		{opening.PianosFile, grand, "4000.00", "4000.001", "more decimals than EUR"},
		{opening.PianosFile, grand, "4000.00", "\"4.000,00\"", "a number in digits"},
		{opening.PianosFile, grand, "Aldermere", "=Aldermere", "formula"},
		{
			opening.StockFile, "part=W-17; received_on=2026-02-01; quantity=6; unit=coil; value=138.00",
			"unit=coil", "unit=kg", "must be m or coil",
		},
		{
			opening.StockFile, "part=W-17; received_on=2026-02-01; quantity=6; unit=coil; value=138.00",
			"quantity=6", "quantity=-6", "more than 0",
		},
		{opening.OrdersFile, order, "price=36.00", "price=36.00; currency=USD", "what 1 USD is worth"},
		{
			opening.OrdersFile, order, "expected_on=2026-04-01", "expected_on=2026-01-31",
			"day of the order",
		},
		{opening.OrdersFile, order, "quantity=2", "quantity=0", "more than 0"},
		{opening.OrdersFile, order, "price=36.00", "price=36.00; job=K-1", "id of a job"},
		{opening.DeliveriesFile, delivery, "price=138.00", "price=138.00; in_stock=7", "from 0 to 6"},
		{
			opening.DeliveriesFile, delivery, "part=W-17; quantity=6; unit=coil",
			"part=M-1; quantity=6; in_stock=5", "must be all of it",
		},
		{opening.DepositsFile, deposit, "A17", "A71", "piano of our own"},
		{opening.DepositsFile, deposit, "250.00", "0.00", "more than 0"},
		{
			opening.ClientJobsFile, "job=" + job.String() + "; labour=10.00; billed=20.00", job.String(),
			uuid.UUID{9}.String(), "id of a job",
		},
	} {
		right, wrong := file(t, x.file, x.row), file(t, x.file, strings.Replace(x.row, x.was, x.is, 1))
		files := []catalogue.File{right}
		if x.file == opening.DepositsFile {
			files = append(files, file(t, opening.PianosFile, grand))
		}
		if faults := told(t, workshop(), files...); faults != nil {
			t.Errorf("%s: %v", x.file, faults)
		}
		files[0] = wrong
		faults := told(t, workshop(), files...)
		if len(faults) != 1 || !strings.HasPrefix(faults[0], string(x.file)+"/2:") ||
			!strings.Contains(faults[0], x.expected) {
			t.Errorf("%s with %s: got %q, want one of line 2 with %q", x.file, x.is, faults, x.expected)
		}
	}
}

func TestARowThatDisagreesWithTheServiceOrAnotherIsNamed(t *testing.T) {
	t.Parallel()
	s := workshop()
	known := opening.KnownPiano{Job: job}
	known.Instrument.StockNumber, known.Instrument.Maker = "A17", "Marrowby"
	known.Instrument.Owner, known.Costed = "stock", true
	s.Pianos["A17"] = known
	moved := s.Parts["w-17"]
	moved.Moved = true
	s.Parts["w-17"] = moved
	lot := "part=W-17; received_on=2026-02-01; quantity=1; value=1.00"
	faults := told(t, s, file(t, opening.PianosFile, grand, grand),
		file(t, opening.StockFile, lot), file(t, opening.DepositsFile,
			"stock_number=A17; buyer=Ivo Brandt; amount=1.00; taken_on=2026-02-01",
			"stock_number=A17; buyer=Ada Lund; amount=1.00; taken_on=2026-02-01"))
	for _, w := range []string{
		"pianos.csv/2:1 stock_number must be that of a piano without costs of before the opening",
		"pianos.csv/2:3 maker must be empty, or as the piano \"A17\" is recorded",
		"pianos.csv/3:1 stock_number must be different", "stock.csv/2:1 part must be a part of which nothing",
		"deposits.csv/3:2 buyer must be the buyer of line 2",
	} {
		if !slices.ContainsFunc(faults, func(f string) bool { return strings.HasPrefix(f, w) }) {
			t.Errorf("%q isn't told: %q", w, faults)
		}
	}
	if faults := told(t, s); len(faults) != 1 || !strings.Contains(faults[0], "at least one") {
		t.Errorf("without a file: %v", faults)
	}
}

// Whatever the old books say of a piano, the documents come to what it has cost, the valuation to
// what it stands at, and a margin is taxed from what the seller was paid.
func TestTheDocumentsOfAPianoComeToWhatTheRowSays(t *testing.T) {
	t.Parallel()
	columns := []string{
		"purchase_price", "buyers_premium", "transport_in", "duty", "parts", "labour", "overhead",
		"outside_work",
	}
	rapid.Check(t, func(t *rapid.T) {
		row := "stock_number=A17; kind=grand; maker=Aldermere; size_mm=1850; notes=88; " +
			"bought_on=2025-06-12; margin_open=yes"
		sum, paid := money.Zero(eur), money.Zero(eur)
		for i, c := range columns {
			a := money.FromMinor(rapid.Int64Range(0, 1_000_000).Draw(t, c), eur)
			row += "; " + c + "=" + a.Text()
			if sum = sum.Add(a); i < 2 {
				paid = paid.Add(a)
			}
		}
		down := money.FromMinor(rapid.Int64Range(0, sum.Minor()).Draw(t, "write_down"), eur)
		row += "; write_down=" + down.Text() + "; margin_price=" + paid.Text()
		b := opening.Read([]catalogue.File{file(t, opening.PianosFile, row)})
		s := workshop()
		if err := b.Check(s); err != nil {
			t.Fatal(err)
		}
		p := b.Pianos[0]
		documents, lines := p.Documents(s, uuid.UUID{3}, uuid.Nil, uuid.UUID{4}, uuid.New)
		v := cost.ViewsOf(lines, eur)
		amounts := money.Zero(eur)
		for _, d := range documents {
			amounts = amounts.Add(d.Amount)
		}
		worth, is := p.Valuation(s, uuid.UUID{5}, uuid.UUID{3})
		if v.Management != sum || v.Inventory != sum || amounts != sum || worth.Cost != sum ||
			worth.WrittenDown() != down || p.Carrying() != sum.Sub(down) || is == down.IsZero() ||
			*documents[0].MarginPrice != paid {
			t.Fatalf("%s: %+v, documents %s, margin from %s", row, v, amounts, documents[0].MarginPrice)
		}
		for _, l := range lines {
			if l.On != march.AddDays(-1) || l.PostedOn != l.On {
				t.Fatalf("a line counts on %s", l.PostedOn)
			}
		}
	})
}

// What the totals say is in stock of deliveries is what the stock says once what was used is out.
func TestWhatIsLeftOfADeliveryIsWhatTheStockSays(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		quantity := rapid.Int64Range(1, 50).Draw(t, "quantity")
		left := rapid.Int64Range(0, quantity).Draw(t, "in_stock")
		price := money.FromMinor(rapid.Int64Range(0, 100_000).Draw(t, "price"), eur)
		b := opening.Read([]catalogue.File{file(t, opening.DeliveriesFile, fmt.Sprintf(
			"delivery_note=L 1; supplier=Felt & Wire; ordered_on=2026-01-02; delivered_on=2026-02-01; "+
				"part=W-17; quantity=%d; price=%s; in_stock=%d", quantity, price.Text(), left,
		))})
		s := workshop()
		if err := b.Check(s); err != nil {
			t.Fatal(err)
		}
		told := money.Zero(eur)
		for _, x := range b.Sums()[0].Totals {
			if x.Column == "in_stock" {
				told = x.Amount
			}
		}
		receipt := uuid.UUID{5}
		held, _, err := valuation.NewStock(valuation.FIFO, eur).Receive(
			receipt, decimalOf(fmt.Sprint(quantity)), price,
		)
		if err != nil {
			t.Fatal(err)
		}
		used, is := b.Deliveries[0].Used(0, receipt, uuid.UUID{6}, s)
		if is {
			if held, _, err = held.TakeFrom(receipt, *used.Quantity); err != nil {
				t.Fatal(err)
			}
		}
		if held.Value() != told || is == (left == quantity) {
			t.Fatalf("%d of %d for %s: told %s, the stock says %s", left, quantity, price, told, held.Value())
		}
	})
}

func TestAWorkshopOpensOnceUntilThatIsTakenBack(t *testing.T) {
	t.Parallel()
	sums := opening.Read([]catalogue.File{file(t, opening.PianosFile, grand)}).Sums()
	other := opening.Read([]catalogue.File{file(t, opening.PianosFile)}).Sums()
	first := opening.Opening{ID: uuid.UUID{1}, OpenedOn: march, Files: sums}
	for _, x := range []struct {
		on       domain.Date
		files    []opening.FileSum
		expected string
	}{
		{march, sums, "these very files"},
		{march, other, "other files"},
		{march.AddDays(1), sums, "other files"},
	} {
		err := opening.CheckOnce([]opening.Opening{first}, x.on, x.files)
		if err == nil || !strings.Contains(err.Error(), x.expected) {
			t.Errorf("got %v, want %s", err, x.expected)
		}
	}
	rests := []opening.Resting{{
		Place: opening.Place{File: opening.StockFile, Line: 3}, What: "the move (issue)", On: march,
	}}
	if _, err := first.Reverse("a mistake", rests); err == nil ||
		!strings.Contains(err.Error(), "#/stock.csv/3: the move (issue)") {
		t.Errorf("what rests on it isn't named: %v", err)
	}
	if _, err := first.Reverse(" ", nil); err == nil {
		t.Error("it is taken back without a reason")
	}
	back, err := first.Reverse("a mistake", nil)
	if err != nil {
		t.Fatal(err)
	}
	first.Reversal = &back
	if err := opening.CheckOnce([]opening.Opening{first}, march, sums); err != nil {
		t.Errorf("it isn't opened anew: %v", err)
	}
	if _, err := first.Reverse("again", nil); err == nil {
		t.Error("it is taken back twice")
	}
}

// FuzzRead checks that whatever bytes are sent as files are read or refused, with at most so many
// faults, each at a place.
func FuzzRead(f *testing.F) {
	for _, form := range opening.Forms() {
		f.Add(form.Body, form.Body)
	}
	f.Add(file(f, opening.PianosFile, grand).Body,
		file(f, opening.StockFile, "part=W-17; received_on=2026-02-01; quantity=6; value=1").Body)
	f.Add([]byte("\xff\xfe"), []byte("part;quantity\n\x00"))
	f.Fuzz(func(t *testing.T, first, second []byte) {
		for i, name := range opening.FileNames() {
			other := opening.FileNames()[(i+1)%len(opening.FileNames())]
			b := opening.Read([]catalogue.File{{Name: name, Body: first}, {Name: other, Body: second}})
			err := b.Check(workshop())
			var fault *domain.Fault
			if err != nil && !errors.As(err, &fault) {
				t.Fatalf("not a refusal: %v", err)
			}
			if fault == nil {
				b.Sums()
				b.Arrived()
				continue
			}
			if len(fault.Fields) == 0 || len(fault.Fields) > domain.MaxListedFaults {
				t.Fatalf("%d faults", len(fault.Fields))
			}
			for _, x := range fault.Fields {
				if x.Line < 1 || x.Column < 1 {
					t.Fatalf("a fault without a place: %+v", x)
				}
			}
		}
	})
}

func decimalOf(text string) decimal.Decimal { return decimal.RequireFromString(text) }
