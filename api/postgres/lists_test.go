package postgres_test

import (
	"context"
	"encoding/json"
	"fmt"
	"net/url"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/openapi"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// asked is a list as it is asked for: the operation of the contract with its filters, the index
// that finds the first row of a page, and the read that answers it.
type asked struct {
	operation string
	filter    string // as in the query of an address
	index     string // or what its name begins with
	key       string // of a place in the list; empty where its order is that of making
	read      func(context.Context, postgres.Reader, postgres.Page) error
}

// lists are all lists that the store answers page by page.
var lists = slices.Concat([]asked{
	{"listTokens", "", "tokens_recent_idx", "", page(postgres.Reader.Tokens)},
	{"listPeople", "", "people_recent_idx", "", page(postgres.Reader.People)},
	{"listStations", "", "stations_name_key", "bench 2", page(postgres.Reader.Stations)},
	{"listParties", "", "parties_name_idx", "m", pageOf(postgres.Reader.Parties, "")},
	{"listParties", "name=fern", "parties_name_idx", "fernwood 2", pageOf(postgres.Reader.Parties, "fern")},
	{"listAbsences", "", "absences_", "2027-03-10 2027-03-15", pageOf(
		postgres.Reader.Absences, domain.Date{Year: 2027, Month: time.March, Day: 1},
	)},
	{"listCatalogueRevisions", "", "catalogue_revisions_pkey", "1000", page(
		postgres.Reader.Revisions,
	)},
	{"listSurveys", "", "surveys_instrument_idx", "", pageOf(postgres.Reader.Surveys, rowID(13))},
	{"listScopes", "", "scopes_instrument_idx", "", pageOf(postgres.Reader.Scopes, rowID(13))},
	{"listInstrumentBids", "", "bids_instrument_idx", "", pageOf(
		postgres.Reader.Bids, postgres.BidFilter{Instrument: rowID(13)},
	)},
	{"listInstrumentQuotations", "", "quotations_instrument_idx", "", pageOf(
		postgres.Reader.Quotations, postgres.QuotationFilter{Instrument: rowID(13)},
	)},
	{
		"listClearances", "", "clearances_instrument_idx", "",
		pageOf(postgres.Reader.Clearances, rowID(13)),
	},
	{"listBidOffers", "", "offers_bid_idx", "", pageOf(postgres.Reader.Offers, rowID(17))},
	{"listJobs", "closed=false", "jobs_open_idx", "2400", pageOf(postgres.Reader.Jobs, false)},
	{"listJobs", "closed=true", "jobs_closed_idx", "1000", pageOf(postgres.Reader.Jobs, true)},
	{"listProgress", "", "task_progress_task_idx", "", func(
		ctx context.Context, r postgres.Reader, p postgres.Page,
	) error {
		_, err := r.Progress(ctx, rowID(18), "AC-10", p)
		return err
	}},
	{"listBookClosings", "", "book_closings_recent_idx", "", page(postgres.Reader.BookClosings)},
	{"listRateCorrections", "", "rate_corrections_recent_idx", "", page(
		postgres.Reader.RateCorrections,
	)},
	{"listOverheadCosts", "", "overhead_costs_recent_idx", "", page(
		postgres.Reader.OverheadCosts,
	)},
	{"listOverheadDispositions", "", "overhead_dispositions_recent_idx", "", page(
		postgres.Reader.Dispositions,
	)},
	{"listRates", "", "cost_rates_recent_idx", "", page(postgres.Reader.RateVersions)},
	{"listCostLines", "", "cost_lines_instrument_idx", "", pageOf(
		postgres.Reader.CostLines, rowID(13),
	)},
	{"listJobCostLines", "", "cost_lines_job_idx", "", pageOf(
		postgres.Reader.JobCostLines, rowID(18),
	)},
	{"listCostDocuments", "", "cost_documents_instrument_idx", "", pageOf(
		postgres.Reader.CostDocuments, rowID(13),
	)},
	{"listShowroomPrices", "", "showroom_prices_instrument_idx", "", pageOf(
		postgres.Reader.ShowroomPrices, rowID(13),
	)},
	{"listDeposits", "", "deposit_moves_instrument_idx", "", pageOf(
		postgres.Reader.Deposits, rowID(13),
	)},
	{"listJobDeposits", "", "deposit_moves_job_idx", "", pageOf(
		postgres.Reader.JobDeposits, rowID(18),
	)},
	{"listClientInvoices", "", "client_invoices_job_idx", "", pageOf(
		postgres.Reader.ClientInvoices, rowID(18),
	)},
	{"listClientContracts", "as_of=2099-01-01", "jobs_recent_idx", "", pageOf(
		postgres.Reader.ClientJobIDs, domain.Date{Year: 2099, Month: time.January, Day: 1},
	)},
	{"listSales", "", "sales_instrument_idx", "", pageOf(postgres.Reader.Sales, rowID(13))},
	{"listValuations", "", "valuations_number_key", "2500", pageOf(
		postgres.Reader.Valuations, rowID(13),
	)},
	{"listConsignments", "", "consignments_instrument_idx", "", pageOf(
		postgres.Reader.Consignments, rowID(13),
	)},
	{"listJobHours", "", "time_entries_job_idx", "", pageOf(postgres.Reader.TimeEntries, rowID(18))},
	{"listSentOut", "", "sendings_out_idx", "2026-12-25", page(postgres.Reader.SentOut)},
	{"listJobSendings", "", "sendings_job_idx", "", pageOf(postgres.Reader.Sendings, rowID(18))},
	{"listSendingDays", "", "sending_days_pkey", "2500", pageOf(
		postgres.Reader.SendingDays, uuid.MustParse("a0000000-0000-7000-8000-0000000000b1"),
	)},
	{"listSuspensions", "", "suspensions_job_idx", "", pageOf(postgres.Reader.Suspensions, rowID(18))},
	{"listProposals", "", "proposals_job_idx", "", func(
		ctx context.Context, r postgres.Reader, p postgres.Page,
	) error {
		_, err := r.Proposals(ctx, rowID(18), p)
		if strings.Contains(fmt.Sprint(err), "read the change") {
			return nil // what the rows hold is no change, which is read after the query
		}
		return err
	}},
	{"listSpendingLimits", "", "spending_limits_job_idx", "", pageOf(
		postgres.Reader.SpendingLimits, rowID(18),
	)},
	{"listPromises", "", "promises_job_idx", "", pageOf(postgres.Reader.Promises, rowID(18))},
	{"listCounterSales", "", "counter_sales_recent_idx", "", page(postgres.Reader.CounterSales)},
	{"listKits", "", "kits_name_key", "kit 2500", page(postgres.Reader.Kits)},
	{"listPartClasses", "", "part_classes_name_key", "class 2500", page(
		postgres.Reader.PartClasses,
	)},
	{"listParts", "", "parts_code_key", "p-2500", pageOf(postgres.Reader.Parts, "")},
	{"listParts", "code=p-25", "parts_code_key", "p-2520", pageOf(postgres.Reader.Parts, "p-25")},
	{"listStock", "", "parts_code_key", "p-2500", page(postgres.Reader.Stock)},
	{"listStockMoves", "", "stock_moves_number_key", "2500", pageOf(
		postgres.Reader.StockMoves, rowID(72),
	)},
	{"listOrders", "closed=false", "orders_open_idx", "", pageOf(postgres.Reader.Orders, false)},
	{"listOrders", "closed=true", "orders_closed_idx", "", pageOf(postgres.Reader.Orders, true)},
	{"listOrderDays", "", "order_days_pkey", "2500", pageOf(
		postgres.Reader.OrderDays, rowID(81),
	)},
	{"listOpenings", "", "opening_balances_number_key", "2500", page(postgres.Reader.OpeningsOfBooks)},
	{"listOpeningRows", "", "opening_rows_pkey", "2500", pageOf(
		postgres.Reader.OpeningRows, rowID(96),
	)},
	{"listDeliveries", "", "deliveries_order_idx", "", pageOf(postgres.Reader.Deliveries, rowID(81))},
	{
		"listSupplierBills", "settled=false", "payables_open_idx", "",
		pageOf(postgres.Reader.SupplierBills, false),
	},
	{
		"listSupplierBills", "settled=true", "payables_settled_idx", "",
		pageOf(postgres.Reader.SupplierBills, true),
	},
	{
		"listUnbilledDeliveries", "", "received_unbilled_idx", "2026-10-25",
		page(postgres.Reader.Unbilled),
	},
	{"listEvents", "", "events_pkey", "", func(
		ctx context.Context, r postgres.Reader, p postgres.Page,
	) error {
		after := int64(0)
		if p.After != nil {
			after = 1000
		}
		_, err := r.Events(ctx, after, p.Limit)
		return err
	}},

	{"listBids", "", "bids_recent_idx", "", bids(postgres.BidFilter{})},
	{"listBids", "instrument=", "bids_instrument_idx", "", bids(
		postgres.BidFilter{Instrument: rowID(13)},
	)},
	{"listBids", "state=open", "bids_recent_idx", "", bids(
		postgres.BidFilter{State: bid.Open},
	)},
	{"listBids", "state=lost", "bids_recent_idx", "", bids(
		postgres.BidFilter{State: bid.State(bid.Lost)},
	)},
	{"listBids", "state=bought", "offers_end_idx", "", bids(
		postgres.BidFilter{State: bid.State(bid.Bought)},
	)},
	{"listBids", "state=taken_in", "offers_end_idx", "", bids(
		postgres.BidFilter{State: bid.State(bid.TakenIn)},
	)},

	{"listQuotations", "", "quotations_recent_idx", "", quotations(
		postgres.QuotationFilter{},
	)},
	{"listQuotations", "instrument=", "quotations_instrument_idx", "", quotations(
		postgres.QuotationFilter{Instrument: rowID(13)},
	)},
	{"listQuotations", "state=open", "quotations_recent_idx", "", quotations(
		postgres.QuotationFilter{State: job.QuotationOpen},
	)},
	{"listQuotations", "state=expired", "quotations_recent_idx", "", quotations(
		postgres.QuotationFilter{State: job.QuotationExpired},
	)},
	{"listQuotations", "state=accepted", "quotations_recent_idx", "", quotations(
		postgres.QuotationFilter{State: job.QuotationAccepted},
	)},
	{"listQuotations", "state=declined", "quotation_answers_accepted_idx", "", quotations(
		postgres.QuotationFilter{State: job.QuotationDeclined},
	)},
	{"listQuotations", "state=replaced", "quotations_pkey", "", quotations(
		postgres.QuotationFilter{State: job.QuotationReplaced},
	)},

	instruments("", "instruments_recent_idx", postgres.InstrumentFilter{}),
	instruments("party=", "instruments_party_idx", postgres.InstrumentFilter{Party: aParty}),
	instruments("maker=Wren 7", "instruments_maker_idx", postgres.InstrumentFilter{Maker: "Wren 7"}),
	instruments("serial=40 21", "instruments_serial_idx", postgres.InstrumentFilter{Serial: "40 21"}),
	instruments("stock_number=s-942", "instruments_stock_idx", postgres.InstrumentFilter{
		Stock: "s-942",
	}),
	instruments("find=4021", "instruments_serial_idx", postgres.InstrumentFilter{Find: "4021"}),
	instruments("maker=Wren&sort=maker", "instruments_maker_idx", postgres.InstrumentFilter{
		Maker: "Wren", Sort: postgres.ByMaker,
	}),
},
	each("kind", "instruments_recent_idx", []catalogue.Kind{catalogue.Grand, catalogue.Upright},
		func(k catalogue.Kind) postgres.InstrumentFilter { return postgres.InstrumentFilter{Kind: k} }),
	each("owner", "instruments_owner_idx", []instrument.Ownership{
		instrument.Offered, instrument.Stock, instrument.Client,
	}, func(o instrument.Ownership) postgres.InstrumentFilter {
		return postgres.InstrumentFilter{Owner: o}
	}),
	each("state", "instruments_state_idx", []instrument.State{
		instrument.Considered, instrument.LetGo, instrument.Waiting, instrument.InWork, instrument.Ready,
		instrument.Sold, instrument.Gone,
	},
		func(s instrument.State) postgres.InstrumentFilter {
			return postgres.InstrumentFilter{State: s}
		}),
	each("sort", "instruments_recent_idx", []postgres.InstrumentSort{
		postgres.ByEntry, postgres.Newest,
	}, sorted),
	each("sort", "instruments_maker_idx", []postgres.InstrumentSort{postgres.ByMaker}, sorted),
	each("sort", "instruments_serial_idx", []postgres.InstrumentSort{postgres.BySerial}, sorted),
	each("sort", "instruments_stock_idx", []postgres.InstrumentSort{postgres.ByStock}, sorted),
)

var aParty = uuid.MustParse("a0000000-0000-7000-8000-00000000001a")

// unpaged are the lists that the store is not asked for page by page, with the reason.
var unpaged = map[string]string{
	"listUnits":           "a fixed table of the program",
	"listCatalogueOffers": "compares two catalogues, each read whole",
	"listJudgements":      "judges one survey, read whole",
	"listStops":           "judges one instrument, read whole",
	"listConfirmations":   "holds at most one row for each assumption",
}

// page reads a list that has no filter.
func page[T any](
	read func(postgres.Reader, context.Context, postgres.Page) ([]T, error),
) func(context.Context, postgres.Reader, postgres.Page) error {
	return func(ctx context.Context, r postgres.Reader, p postgres.Page) error {
		_, err := read(r, ctx, p)
		return err
	}
}

// pageOf reads a list of what belongs to one thing, or that has one filter.
func pageOf[T, F any](
	read func(postgres.Reader, context.Context, F, postgres.Page) ([]T, error), of F,
) func(context.Context, postgres.Reader, postgres.Page) error {
	return func(ctx context.Context, r postgres.Reader, p postgres.Page) error {
		_, err := read(r, ctx, of, p)
		return err
	}
}

func bids(f postgres.BidFilter) func(context.Context, postgres.Reader, postgres.Page) error {
	f.Newest = true
	return pageOf(postgres.Reader.Bids, f)
}

func quotations(
	f postgres.QuotationFilter,
) func(context.Context, postgres.Reader, postgres.Page) error {
	f.Newest = true
	f.Today = domain.Date{Year: 2027, Month: time.March, Day: 1}
	return pageOf(postgres.Reader.Quotations, f)
}

func instruments(filter, index string, f postgres.InstrumentFilter) asked {
	keys := map[postgres.InstrumentSort]string{
		postgres.ByMaker: "Wren 2", postgres.BySerial: "42000", postgres.ByStock: "S-92",
	}
	return asked{
		"listInstruments", filter, index, keys[f.Sort], pageOf(postgres.Reader.Instruments, f),
	}
}

// each is the list of instruments by each value of a filter.
func each[V ~string](
	name, index string, values []V, filter func(V) postgres.InstrumentFilter,
) []asked {
	var all []asked
	for _, v := range values {
		all = append(all, instruments(name+"="+string(v), index, filter(v)))
	}
	return all
}

func sorted(s postgres.InstrumentSort) postgres.InstrumentFilter {
	return postgres.InstrumentFilter{Sort: s}
}

// TestEveryListOfTheContractIsLookedAt: a list, a filter or a value of a filter that the contract
// gains needs its line in lists.
func TestEveryListOfTheContractIsLookedAt(t *testing.T) {
	t.Parallel()
	doc, err := openapi.Load()
	if err != nil {
		t.Fatal(err)
	}
	contracts := map[string]openapi3.Parameters{}
	for _, item := range doc.Paths.Map() {
		o := item.Get
		if o == nil || unpaged[o.OperationID] != "" {
			continue
		}
		if strings.HasPrefix(o.OperationID, "list") || o.Parameters.GetByInAndName("query", "limit") != nil {
			contracts[o.OperationID] = o.Parameters
		}
	}
	looked := map[string]url.Values{}
	for _, l := range lists {
		if contracts[l.operation] == nil {
			t.Errorf("the contract has no list %s", l.operation)
		}
		q, err := url.ParseQuery(l.filter)
		if err != nil {
			t.Fatal(err)
		}
		if looked[l.operation] == nil {
			looked[l.operation] = url.Values{}
		}
		for name, values := range q {
			looked[l.operation][name] = append(looked[l.operation][name], values...)
		}
	}
	for operation, parameters := range contracts {
		if looked[operation] == nil {
			t.Errorf("nobody looks at the query of %s", operation)
		}
		for _, p := range parameters {
			if p.Value.In != "query" || slices.Contains(pageParameters, p.Value.Name) {
				continue
			}
			values, given := looked[operation][p.Value.Name]
			if !given {
				t.Errorf("nobody looks at %s by %s", operation, p.Value.Name)
			}
			for _, v := range p.Value.Schema.Value.Enum {
				if !slices.Contains(values, fmt.Sprint(v)) {
					t.Errorf("nobody looks at %s with %s=%v", operation, p.Value.Name, v)
				}
			}
		}
	}
}

// pageParameters say which page of a list is asked for, not which list.
var pageParameters = []string{"limit", "cursor", "after"}

const (
	pageSize = 50

	// mostRead bounds the rows that may be read for a page, of all tables together. Each workshop
	// has thousands. (The last page of what is open reads on to the end to know that it is the last.)
	mostRead = 20 * pageSize
)

// TestNoListReadsMoreThanItsPageNeedsUnderRowLevelSecurity runs what each list asks the database.
// The rows that were read count, so that a scan of a table, a sort of it and a walk past what a
// filter leaves out all show.
func TestNoListReadsMoreThanItsPageNeedsUnderRowLevelSecurity(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	manyYears(t, db)
	config, err := pgx.ParseConfig(db.Service)
	if err != nil {
		t.Fatal(err)
	}
	var heard statements
	config.Tracer = &heard
	reader, service := connectWith(t, config), connect(t, db.Service)
	for _, l := range lists {
		middle := &postgres.Place{CreatedAt: morning.Add(2600 * time.Minute), Key: l.key}
		for _, after := range []*postgres.Place{nil, middle} {
			p := postgres.Page{Limit: pageSize, After: after}
			forWorkshop(t, reader, workshopA, func(tx pgx.Tx) {
				heard = nil
				if err := l.read(t.Context(), postgres.ReaderIn(workshopA, tx), p); err != nil {
					t.Errorf("%s?%s: %v", l.operation, l.filter, err)
				}
			})
			if len(heard) == 0 {
				t.Errorf("%s?%s asked nothing", l.operation, l.filter)
			}
			asked := slices.Clone(heard)
			for n, s := range asked {
				for _, times := range []int{1, manyTimes} {
					forWorkshop(t, service, workshopA, func(tx pgx.Tx) {
						plan := s.explain(t, tx.Conn(), times)
						index := n > 0 || strings.Contains(string(plan), `"Index Name": "`+l.index)
						if rows := rowsRead(t, plan); rows > mostRead || !index {
							t.Errorf("%s?%s, from %v, asked %d times: %d rows read, want at most %d by %s:\n%s\n%s",
								l.operation, l.filter, after, times, rows, mostRead, l.index, s.sql, plan)
						}
					})
				}
			}
		}
	}
}

// statements are what a connection was asked, in order.
type statements []statement

type statement struct {
	sql  string
	args []any
}

// TraceQueryStart keeps a statement.
func (s *statements) TraceQueryStart(
	ctx context.Context, _ *pgx.Conn, q pgx.TraceQueryStartData,
) context.Context {
	if strings.Contains(q.SQL, "FROM ") {
		*s = append(*s, statement{q.SQL, q.Args})
	}
	return ctx
}

// TraceQueryEnd does nothing: TraceQueryStart has all.
func (s *statements) TraceQueryEnd(context.Context, *pgx.Conn, pgx.TraceQueryEndData) {}

// manyTimes is how often a prepared statement is asked before one plan may do for all arguments.
const manyTimes = 7

// explain asks a prepared statement so many times, since pgx prepares, and returns the last plan
// with the rows of each step. A page of a disk costs what it does on one without moving parts; on
// others a scan of tables as small as these looks cheap.
func (s statement) explain(tb testing.TB, c *pgx.Conn, times int) []byte {
	tb.Helper()
	mustExec(tb, c, `SET LOCAL random_page_cost TO 1.1`)
	mustExec(tb, c, `PREPARE page AS `+s.sql)
	defer mustExec(tb, c, `DEALLOCATE page`)
	execute := `EXECUTE page`
	if len(s.args) > 0 {
		execute += ` (` + literals(s.args) + `)`
	}
	for range times - 1 {
		mustExec(tb, c, execute)
	}
	return scan[[]byte](tb, c, `EXPLAIN (ANALYZE, COSTS OFF, TIMING OFF, SUMMARY OFF, FORMAT JSON) `+execute)
}

// step is a step of a plan that was run.
type step struct {
	Relation  string  `json:"Relation Name"`
	Rows      float64 `json:"Actual Rows"` // of one loop, on average
	Loops     float64 `json:"Actual Loops"`
	Filtered  float64 `json:"Rows Removed by Filter"`
	Rechecked float64 `json:"Rows Removed by Index Recheck"`
	Plans     []step  `json:"Plans"`
}

// rowsRead returns how many rows of tables a plan read.
func rowsRead(tb testing.TB, plan []byte) int {
	tb.Helper()
	var explained []struct{ Plan step }
	if err := json.Unmarshal(plan, &explained); err != nil || len(explained) != 1 {
		tb.Fatalf("%v in %s", err, plan)
	}
	return int(explained[0].Plan.read())
}

func (s step) read() float64 {
	rows := 0.0
	if s.Relation != "" {
		rows = (s.Rows + s.Filtered + s.Rechecked) * s.Loops
	}
	for _, p := range s.Plans {
		rows += p.read()
	}
	return rows
}

// literals writes arguments into a statement.
func literals(args []any) string {
	texts := make([]string, len(args))
	for i, a := range args {
		switch v := a.(type) {
		case int, int64, bool:
			texts[i] = fmt.Sprint(v)
		case time.Time:
			texts[i] = "'" + v.Format(time.RFC3339Nano) + "'"
		case []uuid.UUID:
			ids := make([]string, len(v))
			for i, id := range v {
				ids[i] = id.String()
			}
			texts[i] = "'{" + strings.Join(ids, ",") + "}'"
		default:
			texts[i] = fmt.Sprintf("'%v'", v)
		}
	}
	return strings.Join(texts, ", ")
}

// manyYears fills two workshops with what comes together in many years, and tells the planner.
func manyYears(tb testing.TB, db *pgtest.DB) {
	tb.Helper()
	owner := asOwner(tb, db)
	fillAll(tb, owner)
	rows, err := os.ReadFile("testdata/lists.sql")
	if err != nil {
		tb.Fatal(err)
	}
	for _, w := range []string{"a", "b"} {
		mustExec(tb, owner, strings.ReplaceAll(string(rows), "{w}", w))
	}
	mustExec(tb, connect(tb, db.Owner), `ANALYZE`)
}
