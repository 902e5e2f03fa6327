package api_test

import (
	"fmt"
	"net/http"
	"regexp"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

// roleTable says who may do what: the initials of owner, buyer, manager, bench (h), bookkeeper (k),
// viewer. It is written out by hand, so that a change of the guard or of the roles shows here.
const roleTable = `
addAbsence               om
addFinding               obmh
addProgress              omh
answerCatalogueOffers    om
answerQuotation          om
approveHours             om
closeJob                 om
compareScopes            obmhkv
confirmSettings          om
createBid                ob
createInstrument         obmh
createJob                om
createProposal           omh
createQuotation          om
createScope              obm
createSurvey             obmh
decideProposal           om
editCatalogue            om
enterHours               omh
explainPlannedTask       obmhkv
exportCatalogue          obmk
getBid                   obmk
getBidInputs             obmk
getBidSheet              obmk
getCatalogue             obmhkv
getCatalogueRevision     obmhkv
getCostToGo              obmk
getEstimate              obmk
getInstrument            obmhkv
getJob                   obmhkv
getJobBaseline           obmhkv
getJobCautions           obmhkv
getJobDates              obmhkv
getJoinForm              obmhkv
getMakeOrBuy             obmhkv
getMe                    obmhkv
getPart                  obmhkv
getKit                   obmhkv
getPartClass             obmhkv
getParty                 obmk
getPerson                obmhkv
getPlan                  obmhkv
getQuotation             obmk
getSaleCautions          obmhkv
getScope                 obmhkv
getScopeChoices          obmhkv
getScopeDates            obmhkv
getStation               obmhkv
getStockMove             obmhkv
getStringScale           obmhkv
getStringing             obmhkv
getSurvey                obmhkv
getTakeoff               obmhkv
getTimesheet             obmhkv
getWorkshop              obmhkv
importCatalogue          om
issueToken               o
joinInstruments          om
listAbsences             obmhkv
listBidOffers            obmk
listBids                 obmk
listCatalogueOffers      om
listCatalogueRevisions   obmhkv
listClearances           obmhkv
listConfirmations        obmhkv
listEvents               omk
listInstrumentBids       obmk
listInstrumentQuotations obmk
listInstruments          obmhkv
listJobHours             obmhkv
listJobs                 obmhkv
listJudgements           obmhkv
listKits                 obmhkv
listPartClasses          obmhkv
listParties              obmk
listParts                obmhkv
listPeople               obmhkv
listProgress             obmhkv
listPromises             obmhkv
listProposals            obmhkv
listQuotations           obmk
listScopes               obmhkv
listSpendingLimits       obmk
listStations             obmhkv
listStock                obmhkv
listStockMoves           obmhkv
listStops                obmhkv
listSurveys              obmhkv
listSuspensions          obmhkv
listJobSendings          obmhkv
listSentOut              obmhkv
getSending               obmhkv
listSendingDays          obmhkv
listTokens               o
listUnits                obmhkv
makePlan                 om
moveScope                obm
previewScopeMove         obmhkv
putCatalogue             om
putFinding               obmh
putInstrument            obmh
putJobPlace              om
putMeasurements          obmh
putPart                  omk
putKit                   omk
putPartClass             omk
putParty                 obm
putPerson                om
putScopeEdits            obm
putStation               om
putStringScale           obmh
putWorkshop              om
recomputeBid             obmk
recordBidOffer           ob
recordClearance          obm
recordPromise            om
recordPromiseOutcome     om
recordSpendingLimit      om
issueKit                 omhk
recordStockMove          omhk
resumeWork               om
reverseHours             omh
revokeToken              o
strikeFinding            obmh
suspendWork              om
sendOut                  omh
expectBack               omh
endSending               omh
withdrawAbsence          om
listRates                obmk
correctRates             omk
getRateCorrection        obmk
listRateCorrections      obmk
getBooks                 obmk
listBookClosings         obmk
closeBooks               ok
reopenBooks              ok
getOverhead              obmk
listOverheadCosts        obmk
recordOverhead           ok
reverseOverhead          ok
listOverheadDispositions obmk
disposeOverhead          ok
getOverheadDisposition   obmk
restoreOverhead          ok
setRates                 om
getRatesInForce          obmk
buyInstrument            omk
recordOutsideWork        omk
recordOtherCost          omk
reverseCost              omk
getCostDocument          obmk
listCostDocuments        obmk
getInstrumentCost        obmk
listCostLines            obmk
getJobCost               obmk
listJobCostLines         obmk
getWorkInProgress        obmk
listShowroomPrices       obmk
askForInstrument         obm
listDeposits             obmk
takeDeposit              omk
releaseDeposit           omk
listSales                obmk
listCounterSales         obmk
getCounterSale           obmk
sellOverCounter          omk
takeBackOverCounter      omk
sellInstrument           omk
getSale                  obmk
handOver                 omk
takeBackInstrument       omk
getInstrumentOutcome     obmk
listValuations           obmk
valueInstrument          omk
writeOffInstrument       omk
partOutInstrument        omk
listConsignments         obmk
consignInstrument        omk
endConsignment           omk
listJobDeposits          obmk
takeJobDeposit           omk
listClientInvoices       obmk
raiseInvoice             omk
getClientInvoice         obmk
creditInvoice            omk
settleJob                omk
getClientContract        obmk
listClientContracts      obmk
listOrders               obmhkv
placeOrder               omk
getOrder                 obmhkv
putOrder                 omk
cancelOrder              omk
listOrderDays            obmhkv
expectOrder              omk
listDeliveries           obmhkv
recordDelivery           omk
sendBackDelivered        omk
listSupplierBills        obmk
enterSupplierBill        omk
getSupplierBill          obmk
paySupplierBill          omk
listUnbilledDeliveries   obmk
getLeadTimes             obmhkv
getShortages             obmhkv
getOpeningForms          obmhkv
listOpenings             obmk
openBooks                omk
getOpening               obmk
listOpeningRows          obmk
reverseOpening           omk
`

var initials = map[domain.Role]string{
	domain.Owner: "o", domain.Buyer: "b", domain.Manager: "m", domain.Bench: "h",
	domain.Bookkeeper: "k", domain.Viewer: "v",
}

func TestEachRoleMayDoWhatTheTableSaysAndNothingElse(t *testing.T) {
	t.Parallel()
	allowed := map[string]string{}
	for line := range strings.Lines(strings.TrimSpace(roleTable)) {
		var operation, roles string
		if _, err := fmt.Sscan(line, &operation, &roles); err != nil {
			t.Fatalf("%q: %v", line, err)
		}
		allowed[operation] = roles
	}
	s := openShop(t)
	for _, o := range contractOperations(t) {
		if o.public() {
			continue
		}
		roles, listed := allowed[o.OperationID]
		if !listed {
			t.Errorf("%s is not in the table", o.OperationID)
		}
		path := somePath(t, o.path)
		for _, role := range domain.Roles {
			a := s.as(role).do(o.method, path, nil)
			got, want := a.status != http.StatusForbidden, strings.Contains(roles, initials[role])
			if got != want || a.status == http.StatusUnauthorized ||
				a.status >= http.StatusInternalServerError {
				t.Errorf("%s as %s: %d, want allowed to be %v", o.OperationID, role, a.status, want)
			}
		}
		wantProblem(t, newClient(t, s.url, "").do(o.method, path, nil),
			http.StatusUnauthorized, "unauthenticated")
	}
}

// somePath fills the parameters of a path with ids that do not exist.
func somePath(tb testing.TB, path string) string {
	tb.Helper()
	return strings.NewReplacer(
		"{id}", newID(tb).String(), "{finding}", newID(tb).String(), "{operation}", "BD-02", "{number}",
		"999", "{suspension}", newID(tb).String(), "{proposal}", newID(tb).String(), "{promise}",
		newID(tb).String(), "{move}", newID(tb).String(),
	).Replace(path)
}

func TestWhoAsksIsToldWhatTheyMayDo(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	me := want[openapi.Me](t, s.as(domain.Bench).do(http.MethodGet, "/v1/me", nil), http.StatusOK)
	if got := fmt.Sprint(me.May); got != "[move_stock read_shop write_instruments write_progress]" ||
		me.Role != "bench" || me.Name != "the bench" {
		t.Errorf("got %+v", me)
	}
}

func TestWithoutAGoodTokenNothingIsShown(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	for name, token := range map[string]string{
		"none": "", "unknown": "bentside_" + strings.Repeat("A", 43), "another's form": "nonsense",
	} {
		a := newClient(t, s.url, token).do(http.MethodGet, "/v1/me", nil)
		wantProblem(t, a, http.StatusUnauthorized, "unauthenticated")
		if got := a.header.Get("WWW-Authenticate"); !strings.HasPrefix(got, "Bearer") {
			t.Errorf("%s: WWW-Authenticate is %q", name, got)
		}
	}
	basic := newClient(t, s.url, "").do(http.MethodGet,
		"/v1/me", nil, "Authorization: Basic b3duZXI6b3duZXI=")
	wantProblem(t, basic, http.StatusUnauthorized, "unauthenticated")
}

func TestARevokedTokenOpensNothingAtOnce(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	owner := s.as(domain.Owner)
	issued := want[openapi.IssuedToken](t,
		owner.do(http.MethodPost, "/v1/tokens", map[string]any{"note": "phone"}), http.StatusCreated)
	phone := newClient(t, s.url, issued.Secret)
	if a := phone.do(http.MethodGet, "/v1/me", nil); a.status != http.StatusOK {
		t.Fatalf("a new token opens nothing: %d", a.status)
	}
	for range 2 { // the second time succeeds and changes nothing
		if a := owner.do(http.MethodDelete, "/v1/tokens/"+issued.Token.ID.String(),
			nil); a.status != http.StatusNoContent {
			t.Fatalf("revoke: %d %s", a.status, a.body)
		}
	}
	wantProblem(t, phone.do(http.MethodGet, "/v1/me", nil), http.StatusUnauthorized, "unauthenticated")
}

// TestAnotherWorkshopsThingsAreNotFound sends one workshop's owner to the addresses of another
// workshop's resources.
func TestAnotherWorkshopsThingsAreNotFound(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	ours := s.as(domain.Owner)
	i, sv := surveyed(t, ours)
	scope := want[openapi.Scope](t,
		ours.do(http.MethodPost, "/v1/instruments/"+i.ID.String()+"/scopes",
			map[string]any{"survey": sv.ID, "depth": "as_found"}), http.StatusCreated)
	bid := want[openapi.Bid](t,
		ours.do(http.MethodPost, "/v1/instruments/"+i.ID.String()+"/bids", map[string]any{
			"survey": sv.ID,
			"ways":   []any{map[string]any{"depth": "as_found", "sale_price": amount("2200.00")}},
		}), http.StatusCreated)
	tokens := want[openapi.TokenPage](t, ours.do(http.MethodGet, "/v1/tokens", nil), http.StatusOK)
	_, others := s.found("The other workshop")
	theirs := newClient(t, s.url, others[domain.Owner])
	requests := []struct {
		method, path string
		body         any
		headers      []string
	}{
		{http.MethodGet, "/v1/instruments/" + i.ID.String(), nil, nil},
		{http.MethodPut, "/v1/instruments/" + i.ID.String(), wornGrand(), []string{`If-Match: "v1"`}},
		{http.MethodGet, "/v1/instruments/" + i.ID.String() + "/surveys", nil, nil},
		{
			http.MethodPost, "/v1/instruments/" + i.ID.String() + "/surveys",
			map[string]any{"taken_on": "2026-11-25"},
			nil,
		},
		{http.MethodGet, "/v1/instruments/" + i.ID.String() + "/scopes", nil, nil},
		{
			http.MethodPost, "/v1/instruments/" + i.ID.String() + "/scopes",
			map[string]any{"survey": sv.ID, "depth": "restore"},
			nil,
		},
		{http.MethodGet, "/v1/instruments/" + i.ID.String() + "/bids", nil, nil},
		{http.MethodGet, "/v1/bids/" + bid.ID.String(), nil, nil},
		{http.MethodGet, "/v1/bids/" + bid.ID.String() + "/offers", nil, nil},
		{
			http.MethodPost, "/v1/bids/" + bid.ID.String() + "/offers",
			map[string]any{"kind": "lost"},
			nil,
		},
		{http.MethodGet, "/v1/surveys/" + sv.ID.String(), nil, nil},
		{http.MethodGet, "/v1/surveys/" + sv.ID.String() + "/judgements", nil, nil},
		{
			http.MethodPost, "/v1/surveys/" + sv.ID.String() + "/findings",
			map[string]any{"point": "SV-03", "value": "47"},
			nil,
		},
		{
			http.MethodPut, "/v1/surveys/" + sv.ID.String() + "/findings/" + newID(t).String(),
			map[string]any{"point": "SV-03", "value": "47"},
			[]string{"If-None-Match: *"},
		},
		{
			http.MethodDelete, "/v1/surveys/" + sv.ID.String() + "/findings/" +
				sv.Findings[0].ID.String(),
			nil,
			[]string{`If-Match: "v1"`},
		},
		{http.MethodGet, "/v1/scopes/" + scope.ID.String(), nil, nil},
		{
			http.MethodPut, "/v1/scopes/" + scope.ID.String() + "/edits",
			map[string]any{"edits": []any{}},
			[]string{`If-Match: "v1"`},
		},
		{http.MethodGet, "/v1/scopes/" + scope.ID.String() + "/estimate", nil, nil},
		{http.MethodGet, "/v1/scopes/" + scope.ID.String() + "/dates", nil, nil},
		{
			http.MethodPost, "/v1/jobs", map[string]any{
				"scope": scope.ID, "accepted_on": "2026-11-25",
			}, nil,
		},
		{http.MethodGet, "/v1/plan", nil, nil},
		{http.MethodDelete, "/v1/tokens/" + tokens.Items[0].ID.String(), nil, nil},
	}
	for _, r := range requests {
		wantProblem(t, theirs.do(r.method, r.path, r.body, r.headers...),
			http.StatusNotFound, "not-found")
	}
	if list := want[openapi.InstrumentPage](t, theirs.do(http.MethodGet, "/v1/instruments", nil),
		http.StatusOK); len(list.Items) != 0 {
		t.Errorf("the other workshop sees %d of our instruments", len(list.Items))
	}
}

func TestTheBenchSeesNoMoneyAndCannotSaveWhatItDoesNotSee(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	full := s.as(domain.Owner).do(http.MethodGet, "/v1/workshop", nil)
	plain := s.as(domain.Bench).do(http.MethodGet, "/v1/workshop", nil)
	if w := want[openapi.Workshop](t, plain, http.StatusOK); w.Terms != nil {
		t.Error("the bench sees the terms")
	}
	if w := want[openapi.Workshop](t, full, http.StatusOK); w.Terms == nil {
		t.Error("the owner does not see the terms")
	}
	if full.header.Get("ETag") == plain.header.Get("ETag") {
		t.Errorf("two views have one tag, %s", full.header.Get("ETag"))
	}
	catalogue := s.as(domain.Bench).do(http.MethodGet, "/v1/catalogue", nil)
	for _, price := range []string{`"unit_price"`, `"price"`, `"carriage"`} {
		if strings.Contains(string(catalogue.body), price) {
			t.Errorf("the bench's catalogue holds %s", price)
		}
		if !strings.Contains(string(s.as(domain.Buyer).do(http.MethodGet, "/v1/catalogue", nil).body),
			price) {
			t.Errorf("the buyer's catalogue lacks %s", price)
		}
	}
}

// What the contract says that a role does is what it may do, and all of that.
func TestTheContractSaysWhatEachRoleDoes(t *testing.T) {
	t.Parallel()
	doc, err := openapi.Load()
	if err != nil {
		t.Fatal(err)
	}
	said := map[domain.Role]string{}
	text := doc.Components.Schemas["Role"].Value.Description
	for _, m := range regexp.MustCompile("`([a-z]+)`: ([^`]*)").FindAllStringSubmatch(text, -1) {
		said[domain.Role(m[1])], _, _ = strings.Cut(m[2], "without")
	}
	if len(said) != len(domain.Roles) || said[domain.Owner] != "everything. " {
		t.Fatalf("it says %v", said)
	}
	for permission, word := range map[domain.Permission]string{
		domain.WriteInstruments: "instruments", domain.WriteScopes: "scopes", domain.WriteBids: "bids",
		domain.WriteJobs: "jobs", domain.WriteProgress: "progress", domain.ApproveHours: "approve",
		domain.WriteSettings: "settings", domain.WriteParties: "parties", domain.ReadFeed: "events",
		domain.ClearStops: "clear stops", domain.MoveStock: "stock", domain.WriteCosts: "costs",
		domain.WriteShowroom: "showroom prices", domain.WriteSales: "sales",
		domain.CloseBooks: "close the books", domain.ReadMoney: "money",
	} {
		for _, role := range domain.Roles[1:] {
			if says := strings.Contains(said[role], word); says != role.May(permission) {
				t.Errorf("%s may %s: %v; the contract says %q", role, permission, role.May(permission),
					said[role])
			}
		}
	}
}
