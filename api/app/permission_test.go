package app_test

import (
	"context"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/books"
	"bentside/domain/clearance"
	"bentside/domain/contract"
	"bentside/domain/cost"
	"bentside/domain/hours"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/sale"
	"bentside/domain/stock"
	"bentside/domain/supply"
	"bentside/domain/survey"

	"github.com/google/uuid"
)

// The roles that may run a use case. Package app refuses the others itself, whatever the API in
// front of it has let through.
const (
	settings = "owner manager"
	buying   = "owner buyer"
	scoping  = "owner buyer manager"
	working  = "owner manager"
	progress = "owner manager bench"
	looking  = "owner buyer manager bench" // at instruments
	figures  = "owner buyer manager bookkeeper"
	sheets   = "owner manager bookkeeper" // timesheets of others
	stocking = "owner manager bookkeeper"
	costing  = "owner manager bookkeeper"
	issuing  = "owner manager bench bookkeeper"
	showing  = "owner buyer manager" // what is asked
	selling  = "owner manager bookkeeper"
	closing  = "owner bookkeeper"
)

// guarded are the use cases that ask for a permission, with who has it and a call that changes
// nothing even when it is let through.
var guarded = map[string]struct {
	roles string
	call  func(ctx context.Context, a *app.App, who app.Actor) error
}{
	"AddAbsence": {settings, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.AddAbsence(ctx, who, domain.Absence{})
		return err
	}},
	"WithdrawAbsence": {settings, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.WithdrawAbsence(ctx, who, uuid.Max, "")
		return err
	}},
	"AddPerson": {settings, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.AddPerson(ctx, who, domain.Person{})
		return err
	}},
	"ChangePerson": {settings, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.ChangePerson(ctx, who, domain.Person{ID: uuid.Max}, 1)
		return err
	}},
	"AddStation": {settings, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.AddStation(ctx, who, domain.Station{})
		return err
	}},
	"ChangeStation": {settings, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.ChangeStation(ctx, who, domain.Station{ID: uuid.Max}, 1)
		return err
	}},
	"ChangeWorkshop": {settings, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.ChangeWorkshop(ctx, who, domain.Workshop{}, 1)
		return err
	}},
	"Confirm": {settings, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.Confirm(ctx, who, []domain.AssumptionKey{"no such key"})
		return err
	}},
	"ReviseCatalogue": {settings, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.ReviseCatalogue(ctx, who, nil, "", 0)
		return err
	}},
	"EditCatalogue": {settings, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.EditCatalogue(ctx, who, nil, "", 0)
		return err
	}},
	"ImportCatalogue": {settings, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.ImportCatalogue(ctx, who, nil, "", true, 0)
		return err
	}},
	"CatalogueUpdate": {settings, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.CatalogueUpdate(ctx, who, nil)
		return err
	}},
	"AnswerCatalogueUpdate": {settings, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.AnswerCatalogueUpdate(ctx, who, app.CatalogueUpdateAnswer{}, 0)
		return err
	}},
	"WorkOutBid": {buying, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.WorkOutBid(ctx, who, app.BidRequest{})
		return err
	}},
	"RecordOffer": {buying, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.RecordOffer(ctx, who, bid.Offer{})
		return err
	}},
	"DrawScope": {scoping, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.DrawScope(ctx, who, postgres.ScopeRecord{})
		return err
	}},
	"CopyScope": {scoping, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.CopyScope(ctx, who, postgres.ScopeRecord{}, uuid.Max)
		return err
	}},
	"EditScope": {scoping, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.EditScope(ctx, who, uuid.Max, nil, 1)
		return err
	}},
	"MoveScope": {scoping, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.MoveScope(ctx, who, uuid.Max, 0, false, 1)
		return err
	}},
	"Clear": {scoping, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.Clear(ctx, who, clearance.Clearance{Instrument: uuid.Max})
		return err
	}},
	"AddParty": {scoping, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.AddParty(ctx, who, domain.Party{})
		return err
	}},
	"ChangeParty": {scoping, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.ChangeParty(ctx, who, domain.Party{ID: uuid.Max}, 1)
		return err
	}},
	"AcceptScope": {working, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.AcceptScope(ctx, who, app.Acceptance{Scope: uuid.Max, On: domain.DateOf(morning)})
		return err
	}},
	"SendOut": {progress, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.SendOut(ctx, who, job.Sending{Job: uuid.Max})
		return err
	}},
	"ExpectBack": {progress, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.ExpectBack(ctx, who, job.SendingDay{Sending: uuid.Max})
		return err
	}},
	"EndSending": {progress, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.EndSending(ctx, who, job.SendingEnd{Sending: uuid.Max})
		return err
	}},
	"Suspend": {working, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.Suspend(ctx, who, uuid.Max, job.Suspension{})
		return err
	}},
	"Resume": {working, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.Resume(ctx, who, uuid.Max, uuid.Max, "")
		return err
	}},
	"CloseJob": {working, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.CloseJob(ctx, who, uuid.Max, app.Closing{})
		return err
	}},
	"MoveJob": {working, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.MoveJob(ctx, who, uuid.Max, 1, 1)
		return err
	}},
	"Join": {working, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.Join(ctx, who, job.Join{}, true)
		return err
	}},
	"MakePlan": {working, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.MakePlan(ctx, who, app.PlanRequest{Schedules: -1, Limit: time.Second})
		return err
	}},
	"Promise": {working, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, _, err := a.Promise(ctx, who, job.Promise{Job: uuid.Max})
		return err
	}},
	"EndPromise": {working, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.EndPromise(ctx, who, uuid.Max, uuid.Max, job.PromiseOutcome{})
		return err
	}},
	"Decide": {working, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.Decide(ctx, who, uuid.Max, uuid.Max, job.Decision{})
		return err
	}},
	"AgreeLimit": {working, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.AgreeLimit(ctx, who, uuid.Max, job.SpendingLimit{})
		return err
	}},
	"Quote": {working, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.Quote(ctx, who, job.Quotation{})
		return err
	}},
	"AnswerQuotation": {working, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.AnswerQuotation(ctx, who, uuid.Max, job.QuotationAnswer{})
		return err
	}},
	"RecordProgress": {progress, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.RecordProgress(ctx, who, uuid.Max, job.Progress{})
		return err
	}},
	"EnterHours": {progress, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.EnterHours(ctx, who, app.HoursDraft{})
		return err
	}},
	"ReverseHours": {progress, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.ReverseHours(ctx, who, app.HoursReversal{Entry: uuid.Max})
		return err
	}},
	"ApproveHours": {working, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.ApproveHours(ctx, who, app.WeekApproval{Person: uuid.Max})
		return err
	}},
	"Timesheet": {sheets, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.Timesheet(ctx, who, uuid.Max, hours.Month{Year: 2026, Month: time.November})
		return err
	}},
	"Propose": {progress, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.Propose(ctx, who, app.NewProposal{Job: uuid.Max})
		return err
	}},
	"AddInstrument": {looking, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.AddInstrument(ctx, who, instrument.Instrument{})
		return err
	}},
	"ChangeInstrument": {looking, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.ChangeInstrument(ctx, who, instrument.Instrument{ID: uuid.Max}, 1)
		return err
	}},
	"Measure": {looking, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.Measure(ctx, who, uuid.Max, nil, 1)
		return err
	}},
	"MeasureScale": {looking, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.MeasureScale(ctx, who, uuid.Max, nil, 1)
		return err
	}},
	"TakeSurvey": {looking, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.TakeSurvey(ctx, who, survey.Survey{})
		return err
	}},
	"AddFinding": {looking, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.AddFinding(ctx, who, uuid.Max, survey.Finding{})
		return err
	}},
	"StrikeFinding": {looking, func(ctx context.Context, a *app.App, who app.Actor) error {
		return a.StrikeFinding(ctx, who, uuid.Max, uuid.Max, 1)
	}},
	"AddKit": {stocking, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.AddKit(ctx, who, stock.Kit{})
		return err
	}},
	"ChangeKit": {stocking, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.ChangeKit(ctx, who, stock.Kit{ID: uuid.Max}, 1)
		return err
	}},
	"IssueKit": {issuing, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.IssueKit(ctx, who, stock.KitIssue{Kit: uuid.Max})
		return err
	}},
	"AddPartClass": {stocking, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.AddPartClass(ctx, who, stock.Class{})
		return err
	}},
	"ChangePartClass": {stocking, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.ChangePartClass(ctx, who, stock.Class{ID: uuid.Max}, 1)
		return err
	}},
	"AddPart": {stocking, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.AddPart(ctx, who, stock.Part{})
		return err
	}},
	"ChangePart": {stocking, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.ChangePart(ctx, who, stock.Part{ID: uuid.Max}, 1)
		return err
	}},
	"PlaceOrder": {stocking, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.PlaceOrder(ctx, who, supply.Order{})
		return err
	}},
	"ChangeOrder": {stocking, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.ChangeOrder(ctx, who, supply.Order{ID: uuid.Max}, 1)
		return err
	}},
	"CancelOrder": {stocking, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.CancelOrder(ctx, who, supply.Cancellation{Order: uuid.Max})
		return err
	}},
	"ExpectOrder": {stocking, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.ExpectOrder(ctx, who, supply.NewDay{Order: uuid.Max})
		return err
	}},
	"Deliver": {stocking, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.Deliver(ctx, who, supply.Delivery{Order: uuid.Max})
		return err
	}},
	"SendBack": {stocking, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.SendBack(ctx, who, supply.Returned{Order: uuid.Max})
		return err
	}},
	"EnterBill": {stocking, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.EnterBill(ctx, who, supply.Bill{})
		return err
	}},
	"PayBill": {stocking, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, _, err := a.PayBill(ctx, who, supply.Payment{Bill: uuid.Max})
		return err
	}},
	"MoveStock": {issuing, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.MoveStock(ctx, who, stock.Draft{Part: uuid.Max, Kind: stock.Issue})
		return err
	}},
	"CloseBooks": {closing, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.CloseBooks(ctx, who, books.Closing{})
		return err
	}},
	"ReopenBooks": {closing, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.ReopenBooks(ctx, who, books.Closing{})
		return err
	}},
	"Books": {figures, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.Books(ctx, who)
		return err
	}},
	"CorrectRates": {costing, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.CorrectRates(ctx, who, cost.RateCorrection{})
		return err
	}},
	"RateCorrection": {figures, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.RateCorrection(ctx, who, uuid.Max)
		return err
	}},
	"Overhead": {figures, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.Overhead(ctx, who, cost.Period{})
		return err
	}},
	"RecordOverhead": {closing, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.RecordOverhead(ctx, who, cost.OverheadCost{})
		return err
	}},
	"ReverseOverhead": {closing, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.ReverseOverhead(ctx, who, uuid.Max, "")
		return err
	}},
	"DisposeOverhead": {closing, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.DisposeOverhead(ctx, who, cost.Disposition{}, false)
		return err
	}},
	"RestoreOverhead": {closing, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.RestoreOverhead(ctx, who, uuid.Max, "")
		return err
	}},
	"Disposition": {figures, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.Disposition(ctx, who, uuid.Max)
		return err
	}},
	"SetRates": {settings, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.SetRates(ctx, who, cost.Rates{})
		return err
	}},
	"RatesOn": {figures, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.RatesOn(ctx, who, domain.Date{})
		return err
	}},
	"AskForInstrument": {showing, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.AskForInstrument(ctx, who, sale.ShowroomPrice{})
		return err
	}},
	"TakeDeposit": {selling, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.TakeDeposit(ctx, who, sale.DepositMove{})
		return err
	}},
	"TakeJobDeposit": {selling, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.TakeJobDeposit(ctx, who, sale.DepositMove{})
		return err
	}},
	"RaiseInvoice": {selling, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.RaiseInvoice(ctx, who, contract.Invoice{}, nil)
		return err
	}},
	"CreditInvoice": {selling, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.CreditInvoice(ctx, who, uuid.New(), domain.Date{}, "")
		return err
	}},
	"SettleJob": {selling, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.SettleJob(ctx, who, contract.Settlement{})
		return err
	}},
	"Contract": {figures, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.Contract(ctx, who, uuid.New(), domain.Date{})
		return err
	}},
	"Contracts": {figures, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.Contracts(ctx, who, domain.Date{}, postgres.Whole)
		return err
	}},
	"ReleaseDeposit": {selling, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.ReleaseDeposit(ctx, who, sale.DepositMove{})
		return err
	}},
	"SellInstrument": {selling, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.SellInstrument(ctx, who, sale.Sale{})
		return err
	}},
	"SellOverCounter": {selling, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.SellOverCounter(ctx, who, sale.CounterSale{})
		return err
	}},
	"TakeBackOverCounter": {selling, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.TakeBackOverCounter(ctx, who, sale.CounterReturn{Sale: uuid.Max})
		return err
	}},
	"HandOver": {selling, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.HandOver(ctx, who, uuid.Max, sale.HandOver{})
		return err
	}},
	"TakeBack": {selling, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.TakeBack(ctx, who, uuid.Max, sale.ReturnDraft{})
		return err
	}},
	"ValueInstrument": {costing, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.ValueInstrument(ctx, who, sale.Valuation{})
		return err
	}},
	"WriteOffInstrument": {costing, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.WriteOffInstrument(ctx, who, sale.Loss{})
		return err
	}},
	"PartOutInstrument": {costing, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.PartOutInstrument(ctx, who, sale.PartingOut{})
		return err
	}},
	"Consign": {selling, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.Consign(ctx, who, sale.Consignment{})
		return err
	}},
	"EndConsignment": {selling, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.EndConsignment(ctx, who, uuid.Max, sale.ConsignmentEnd{})
		return err
	}},
	"Sale": {figures, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.Sale(ctx, who, uuid.Max)
		return err
	}},
	"ValuationsOf": {figures, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.ValuationsOf(ctx, who, uuid.Max, postgres.Whole)
		return err
	}},
	"SalesOf": {figures, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.SalesOf(ctx, who, uuid.Max, postgres.Whole)
		return err
	}},
	"Outcome": {figures, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.Outcome(ctx, who, uuid.Max)
		return err
	}},
	"BuyInstrument": {costing, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.BuyInstrument(ctx, who, cost.Purchase{})
		return err
	}},
	"RecordOutsideWork": {costing, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.RecordOutsideWork(ctx, who, cost.Document{Job: uuid.Max})
		return err
	}},
	"RecordOtherCost": {costing, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.RecordOtherCost(ctx, who, cost.OtherDraft{})
		return err
	}},
	"ReverseCost": {costing, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.ReverseCost(ctx, who, uuid.Max, "")
		return err
	}},
	"OpenBooks": {costing, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.OpenBooks(ctx, who, nil, domain.Date{}, true)
		return err
	}},
	"ReverseOpening": {costing, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.ReverseOpening(ctx, who, uuid.Max, "")
		return err
	}},
	"InstrumentCost": {figures, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.InstrumentCost(ctx, who, uuid.Max)
		return err
	}},
	"JobCost": {figures, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.JobCost(ctx, who, uuid.Max)
		return err
	}},
	"WorkInProgress": {figures, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.WorkInProgress(ctx, who, domain.Date{})
		return err
	}},
	"CostToGo": {figures, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.CostToGo(ctx, who, uuid.Max, job.AlternativesInput{})
		return err
	}},
	"Estimate": {figures, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, _, err := a.Estimate(ctx, who, uuid.Max)
		return err
	}},
	"ExportCatalogue": {figures, func(ctx context.Context, a *app.App, who app.Actor) error {
		_, err := a.ExportCatalogue(ctx, who, 99)
		return err
	}},
}

// unguarded are the use cases that leave it to the API who may read.
const unguarded = "Absences Baseline Bid BidSheet Catalogue CatalogueAt Choices CompareScopes Dates DatesAssume EstimateAssumes JobBasis JobCautions " +
	"JobDates JobStops Judgements LatestPlan MakeOrBuy Once PreviewScopeMove ProposalStops Proposals Read RecomputeBid " +
	"RefusedATurn Rehearse SaleCautions Scope Sending SendingsOf SentOut Shortages Stops Strings " +
	"TakeOff Today"

// elsewhere are the use cases whose roles TestOnlyWhoMayIssueTokensDoes checks.
const elsewhere = "IssueToken RevokeToken"

func TestEachUseCaseRefusesTheRolesThatMayNotRunIt(t *testing.T) {
	t.Parallel()
	a, _ := opened(t, 1, atMorning)
	who := founded(t, a)
	for _, role := range domain.Roles {
		who.Role = role
		for name, c := range guarded {
			may := slices.Contains(strings.Fields(c.roles), string(role))
			err := c.call(t.Context(), a, who)
			if refused := faultKind(err) == domain.Forbidden; refused == may {
				t.Errorf("%s by %s: got %v, allowed are %s", name, role, err, c.roles)
			}
		}
	}
	who.Role = domain.Owner
	wantEffects(t, a, who, "0 instruments, 0 events")
}

// A use case that is added has to be put into one of the lists above.
func TestNoUseCaseIsWithoutADecisionOnWhoMayRunIt(t *testing.T) {
	t.Parallel()
	actor := reflect.TypeFor[app.Actor]()
	for m := range reflect.TypeFor[*app.App]().Methods() {
		takesActor := false
		for i := range m.Type.NumIn() {
			takesActor = takesActor || m.Type.In(i) == actor
		}
		_, listed := guarded[m.Name]
		listed = listed || slices.Contains(strings.Fields(unguarded+" "+elsewhere), m.Name)
		if takesActor && !listed {
			t.Errorf("%s takes an actor, and no test says who may run it", m.Name)
		}
	}
}
