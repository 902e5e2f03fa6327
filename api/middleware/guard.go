package middleware

import (
	"maps"
	"slices"

	"bentside/api/problem"
	"bentside/domain"

	"github.com/labstack/echo/v4"
)

// permissions maps each operation to the permission it requires. An operation that is missing here
// is refused to everybody; a test finds it first.
var permissions = map[string]domain.Permission{
	"getMe":                    domain.ReadShop,
	"getWorkshop":              domain.ReadShop,
	"putWorkshop":              domain.WriteSettings,
	"listConfirmations":        domain.ReadShop,
	"confirmSettings":          domain.WriteSettings,
	"listTokens":               domain.IssueTokens,
	"issueToken":               domain.IssueTokens,
	"revokeToken":              domain.IssueTokens,
	"listPeople":               domain.ReadShop,
	"getPerson":                domain.ReadShop,
	"putPerson":                domain.WriteSettings,
	"listParties":              domain.ReadParties,
	"getParty":                 domain.ReadParties,
	"putParty":                 domain.WriteParties,
	"listAbsences":             domain.ReadShop,
	"addAbsence":               domain.WriteSettings,
	"withdrawAbsence":          domain.WriteSettings,
	"listStations":             domain.ReadShop,
	"getStation":               domain.ReadShop,
	"putStation":               domain.WriteSettings,
	"listUnits":                domain.ReadShop,
	"getCatalogue":             domain.ReadShop,
	"putCatalogue":             domain.WriteSettings,
	"listCatalogueRevisions":   domain.ReadShop,
	"getCatalogueRevision":     domain.ReadShop,
	"listInstruments":          domain.ReadShop,
	"createInstrument":         domain.WriteInstruments,
	"getInstrument":            domain.ReadShop,
	"putInstrument":            domain.WriteInstruments,
	"listSurveys":              domain.ReadShop,
	"createSurvey":             domain.WriteInstruments,
	"getSurvey":                domain.ReadShop,
	"addFinding":               domain.WriteInstruments,
	"putFinding":               domain.WriteInstruments,
	"strikeFinding":            domain.WriteInstruments,
	"listJudgements":           domain.ReadShop,
	"listScopes":               domain.ReadShop,
	"createScope":              domain.WriteScopes,
	"getScope":                 domain.ReadShop,
	"putScopeEdits":            domain.WriteScopes,
	"compareScopes":            domain.ReadShop,
	"getMakeOrBuy":             domain.ReadShop,
	"getScopeChoices":          domain.ReadShop,
	"getEstimate":              domain.ReadMoney,
	"getScopeDates":            domain.ReadShop,
	"listInstrumentBids":       domain.ReadMoney,
	"createBid":                domain.WriteBids,
	"getBid":                   domain.ReadMoney,
	"getBidInputs":             domain.ReadMoney,
	"getBidSheet":              domain.ReadMoney,
	"listBids":                 domain.ReadMoney,
	"listQuotations":           domain.ReadMoney,
	"listBidOffers":            domain.ReadMoney,
	"recordBidOffer":           domain.WriteBids,
	"recomputeBid":             domain.ReadMoney,
	"listJobs":                 domain.ReadShop,
	"createJob":                domain.WriteJobs,
	"getJob":                   domain.ReadShop,
	"listProposals":            domain.ReadShop,
	"createProposal":           domain.WriteProgress,
	"decideProposal":           domain.WriteJobs,
	"listSpendingLimits":       domain.ReadMoney,
	"recordSpendingLimit":      domain.WriteJobs,
	"getCostToGo":              domain.ReadMoney,
	"listPromises":             domain.ReadShop,
	"recordPromise":            domain.WriteJobs,
	"recordPromiseOutcome":     domain.WriteJobs,
	"listInstrumentQuotations": domain.ReadMoney,
	"createQuotation":          domain.WriteJobs,
	"getQuotation":             domain.ReadMoney,
	"answerQuotation":          domain.WriteJobs,
	"joinInstruments":          domain.WriteJobs,
	"getJoinForm":              domain.ReadShop,
	"closeJob":                 domain.WriteJobs,
	"putJobPlace":              domain.WriteJobs,
	"getJobBaseline":           domain.ReadShop,
	"getJobDates":              domain.ReadShop,
	"getPlan":                  domain.ReadShop,
	"makePlan":                 domain.WriteJobs,
	"explainPlannedTask":       domain.ReadShop,
	"listProgress":             domain.ReadShop,
	"addProgress":              domain.WriteProgress,
	"enterHours":               domain.WriteProgress,
	"reverseHours":             domain.WriteProgress,
	"approveHours":             domain.ApproveHours,
	"getTimesheet":             domain.ReadShop, // the own one; those of others ask for more
	"listJobHours":             domain.ReadShop,
	"listSuspensions":          domain.ReadShop,
	"suspendWork":              domain.WriteJobs,
	"resumeWork":               domain.WriteJobs,
	"listEvents":               domain.ReadFeed,
	"editCatalogue":            domain.WriteSettings,
	"listCatalogueOffers":      domain.WriteSettings,
	"answerCatalogueOffers":    domain.WriteSettings,
	"previewScopeMove":         domain.ReadShop,
	"moveScope":                domain.WriteScopes,
	"getTakeoff":               domain.ReadShop,
	"putMeasurements":          domain.WriteInstruments,
	"getStringScale":           domain.ReadShop,
	"putStringScale":           domain.WriteInstruments,
	"getStringing":             domain.ReadShop,
	"exportCatalogue":          domain.ReadMoney,
	"importCatalogue":          domain.WriteSettings,
	"getOpeningForms":          domain.ReadShop,
	"listOpenings":             domain.ReadMoney,
	"openBooks":                domain.WriteCosts,
	"getOpening":               domain.ReadMoney,
	"listOpeningRows":          domain.ReadMoney,
	"reverseOpening":           domain.WriteCosts,
	"listStops":                domain.ReadShop,
	"listClearances":           domain.ReadShop,
	"recordClearance":          domain.ClearStops,
	"getSaleCautions":          domain.ReadShop,
	"getJobCautions":           domain.ReadShop,
	"listCounterSales":         domain.ReadMoney,
	"getCounterSale":           domain.ReadMoney,
	"sellOverCounter":          domain.WriteSales,
	"takeBackOverCounter":      domain.WriteSales,
	"listKits":                 domain.ReadShop,
	"getKit":                   domain.ReadShop,
	"putKit":                   domain.WriteStock,
	"issueKit":                 domain.MoveStock,
	"listPartClasses":          domain.ReadShop,
	"getPartClass":             domain.ReadShop,
	"putPartClass":             domain.WriteStock,
	"listParts":                domain.ReadShop,
	"getPart":                  domain.ReadShop,
	"putPart":                  domain.WriteStock,
	"listStock":                domain.ReadShop,
	"listStockMoves":           domain.ReadShop,
	"recordStockMove":          domain.MoveStock,
	"getStockMove":             domain.ReadShop,
	"getBooks":                 domain.ReadMoney,
	"listBookClosings":         domain.ReadMoney,
	"closeBooks":               domain.CloseBooks,
	"reopenBooks":              domain.CloseBooks,
	"correctRates":             domain.WriteCosts,
	"getRateCorrection":        domain.ReadMoney,
	"listRateCorrections":      domain.ReadMoney,
	"listRates":                domain.ReadMoney,
	"setRates":                 domain.WriteSettings,
	"getRatesInForce":          domain.ReadMoney,
	"buyInstrument":            domain.WriteCosts,
	"recordOutsideWork":        domain.WriteCosts,
	"recordOtherCost":          domain.WriteCosts,
	"reverseCost":              domain.WriteCosts,
	"getCostDocument":          domain.ReadMoney,
	"listCostDocuments":        domain.ReadMoney,
	"getInstrumentCost":        domain.ReadMoney,
	"listCostLines":            domain.ReadMoney,
	"getJobCost":               domain.ReadMoney,
	"listJobCostLines":         domain.ReadMoney,
	"getWorkInProgress":        domain.ReadMoney,
	"listShowroomPrices":       domain.ReadMoney,
	"askForInstrument":         domain.WriteShowroom,
	"listDeposits":             domain.ReadMoney,
	"takeDeposit":              domain.WriteSales,
	"releaseDeposit":           domain.WriteSales,
	"listSales":                domain.ReadMoney,
	"sellInstrument":           domain.WriteSales,
	"getSale":                  domain.ReadMoney,
	"handOver":                 domain.WriteSales,
	"takeBackInstrument":       domain.WriteSales,
	"getInstrumentOutcome":     domain.ReadMoney,
	"listValuations":           domain.ReadMoney,
	"valueInstrument":          domain.WriteCosts,
	"writeOffInstrument":       domain.WriteCosts,
	"partOutInstrument":        domain.WriteCosts,
	"listConsignments":         domain.ReadMoney,
	"consignInstrument":        domain.WriteSales,
	"endConsignment":           domain.WriteSales,
	"listJobDeposits":          domain.ReadMoney,
	"takeJobDeposit":           domain.WriteSales,
	"listClientInvoices":       domain.ReadMoney,
	"raiseInvoice":             domain.WriteSales,
	"getClientInvoice":         domain.ReadMoney,
	"creditInvoice":            domain.WriteSales,
	"settleJob":                domain.WriteSales,
	"getClientContract":        domain.ReadMoney,
	"listClientContracts":      domain.ReadMoney,
	"listJobSendings":          domain.ReadShop,
	"sendOut":                  domain.WriteProgress,
	"listSentOut":              domain.ReadShop,
	"getSending":               domain.ReadShop,
	"listSendingDays":          domain.ReadShop,
	"expectBack":               domain.WriteProgress,
	"endSending":               domain.WriteProgress,
	"listOrders":               domain.ReadShop,
	"placeOrder":               domain.WriteStock,
	"getOrder":                 domain.ReadShop,
	"putOrder":                 domain.WriteStock,
	"cancelOrder":              domain.WriteStock,
	"listOrderDays":            domain.ReadShop,
	"expectOrder":              domain.WriteStock,
	"listDeliveries":           domain.ReadShop,
	"recordDelivery":           domain.WriteStock,
	"sendBackDelivered":        domain.WriteStock,
	"listSupplierBills":        domain.ReadMoney,
	"enterSupplierBill":        domain.WriteStock,
	"getSupplierBill":          domain.ReadMoney,
	"paySupplierBill":          domain.WriteStock,
	"listUnbilledDeliveries":   domain.ReadMoney,
	"getLeadTimes":             domain.ReadShop,
	"getShortages":             domain.ReadShop,
}

// required lists the permissions that some operation requires, or that widen what it shows, in
// alphabetical order.
var required = slices.Compact(slices.Sorted(slices.Values(
	append(slices.Collect(maps.Values(permissions)), domain.ReadTimesheets),
)))

// PermissionsOf returns the permissions of a role, in alphabetical order.
func PermissionsOf(role domain.Role) []domain.Permission {
	list := []domain.Permission{}
	for _, p := range required {
		if role.May(p) {
			list = append(list, p)
		}
	}
	return list
}

// guard refuses what the role may not do, before anything else is read or checked.
func (ch *Chain) guard(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		op := operationOf(c)
		if op == nil || op.public {
			return next(c)
		}
		permission, listed := permissions[op.id]
		if !listed {
			return problem.Refuse(problem.Forbidden, "nobody may do this")
		}
		if err := Actor(c.Request().Context()).Require(permission); err != nil {
			return err
		}
		return next(c)
	}
}
