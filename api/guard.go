package api

import (
	"bentside/domain"

	"github.com/labstack/echo/v4"
)

// acts says what a role must be allowed for each operation. An operation that
// does not stand here is refused to everybody; a test finds it first.
var acts = map[string]domain.Act{
	"getMe":              domain.ReadShop,
	"getWorkshop":        domain.ReadShop,
	"putWorkshop":        domain.WriteSettings,
	"listTokens":         domain.IssueTokens,
	"issueToken":         domain.IssueTokens,
	"revokeToken":        domain.IssueTokens,
	"listPeople":         domain.ReadShop,
	"getPerson":          domain.ReadShop,
	"putPerson":          domain.WriteSettings,
	"listParties":        domain.ReadParties,
	"getParty":           domain.ReadParties,
	"putParty":           domain.WriteParties,
	"listAbsences":       domain.ReadShop,
	"addAbsence":         domain.WriteSettings,
	"withdrawAbsence":    domain.WriteSettings,
	"listStations":       domain.ReadShop,
	"getStation":         domain.ReadShop,
	"putStation":         domain.WriteSettings,
	"listUnits":          domain.ReadShop,
	"getCatalogue":       domain.ReadShop,
	"putCatalogue":       domain.WriteSettings,
	"listRevisions":      domain.ReadShop,
	"getRevision":        domain.ReadShop,
	"listInstruments":    domain.ReadShop,
	"createInstrument":   domain.WriteInstruments,
	"getInstrument":      domain.ReadShop,
	"putInstrument":      domain.WriteInstruments,
	"listSurveys":        domain.ReadShop,
	"createSurvey":       domain.WriteInstruments,
	"getSurvey":          domain.ReadShop,
	"addFinding":         domain.WriteInstruments,
	"putFinding":         domain.WriteInstruments,
	"strikeFinding":      domain.WriteInstruments,
	"listJudgements":     domain.ReadShop,
	"listScopes":         domain.ReadShop,
	"createScope":        domain.WriteScopes,
	"getScope":           domain.ReadShop,
	"putEdits":           domain.WriteScopes,
	"compareScopes":      domain.ReadShop,
	"getMakeOrBuy":       domain.ReadShop,
	"getEstimate":        domain.ReadMoney,
	"getDates":           domain.ReadShop,
	"listBids":           domain.ReadMoney,
	"createBid":          domain.WriteBids,
	"getBid":             domain.ReadMoney,
	"getBidInputs":       domain.ReadMoney,
	"listBidOffers":      domain.ReadMoney,
	"recordBidOffer":     domain.WriteBids,
	"recomputeBid":       domain.ReadMoney,
	"listJobs":           domain.ReadShop,
	"createJob":          domain.WriteJobs,
	"getJob":             domain.ReadShop,
	"listProposals":      domain.ReadShop,
	"propose":            domain.WriteProgress,
	"decide":             domain.WriteJobs,
	"listSpendingLimits": domain.ReadMoney,
	"agreeLimit":         domain.WriteJobs,
	"getCostToGo":        domain.ReadMoney,
	"listPromises":       domain.ReadShop,
	"promise":            domain.WriteJobs,
	"endPromise":         domain.WriteJobs,
	"listQuotations":     domain.ReadMoney,
	"quote":              domain.WriteJobs,
	"getQuotation":       domain.ReadMoney,
	"answerQuotation":    domain.WriteJobs,
	"join":               domain.WriteJobs,
	"getJoinForm":        domain.ReadShop,
	"closeJob":           domain.WriteJobs,
	"getBaseline":        domain.ReadShop,
	"getJobDates":        domain.ReadShop,
	"getPlan":            domain.ReadShop,
	"makePlan":           domain.WriteJobs,
	"getPlanWhy":         domain.ReadShop,
	"listProgress":       domain.ReadShop,
	"addProgress":        domain.WriteProgress,
	"listSuspensions":    domain.ReadShop,
	"suspend":            domain.WriteJobs,
	"resume":             domain.WriteJobs,
	"listEvents":         domain.ReadFeed,
	"editCatalogue":      domain.WriteSettings,
	"listOffers":         domain.WriteSettings,
	"answerOffers":       domain.WriteSettings,
	"previewRebase":      domain.ReadShop,
	"rebaseScope":        domain.WriteScopes,
	"getTakeoff":         domain.ReadShop,
	"putMeasurements":    domain.WriteInstruments,
	"getScale":           domain.ReadShop,
	"putScale":           domain.WriteInstruments,
	"getStringing":       domain.ReadShop,
	"exportCatalogue":    domain.ReadMoney,
	"importCatalogue":    domain.WriteSettings,
	"getSaleCautions":    domain.ReadShop,
	"getJobCautions":     domain.ReadShop,
}

// guard refuses what the role may not do, before anything is read or checked.
func (d *Door) guard(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		op := operationOf(c)
		if op == nil || op.public {
			return next(c)
		}
		act, listed := acts[op.id]
		if !listed {
			return refuse(forbidden, "nobody may do this")
		}
		if err := actorOf(c.Request().Context()).Require(act); err != nil {
			return err
		}
		return next(c)
	}
}
