package convert

import (
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/domain/scope"
	"bentside/openapi"
)

// Stop returns what bars acts with a piano, and what lifts or lifted it.
func Stop(s clearance.Stop) openapi.Stop {
	out := openapi.Stop{
		Stop: s.ID, Point: string(s.Point), Says: s.Says,
		Bars:  NotNull(Texts[catalogue.Act, openapi.Act](s.Barred())),
		Acts:  Texts[catalogue.Act, openapi.Act](s.Acts),
		Until: s.Until, Law: s.Law, Relief: openapi.StopRelief(s.Relief),
		Roles:  Texts[string, openapi.Role](s.Roles),
		Looks:  Texts[string, openapi.Role](s.Looks),
		Repair: Texts[catalogue.Code, openapi.OperationCode](s.Repair), Repaired: s.Repaired,
		Mended: s.Mended,
		Donor:  s.Donor, Country: s.Country, Standing: string(s.Standing),
	}
	if s.Finding.Severity != catalogue.Unknown {
		out.Found = s.Finding.Text
	}
	out.RestsOn = s.RestsOnRecord()
	if mind := catalogue.Caution(s.Hazard); mind != "" {
		out.Caution = mind + " " + catalogue.Deference
	}
	if c := s.Clearance; c != nil {
		out.Cleared = renderClearedStop(*c, "")
	}
	out.Lifting, out.Disputing = renderLook(s.Lifting), renderLook(s.Disputing)
	if l := s.Lapsed; l != nil {
		out.Lapsed = renderClearedStop(l.Clearance, l.Why)
	}
	return out
}

// renderLook renders a later look; one that is empty is left out.
func renderLook(l *clearance.Look) openapi.LaterLook {
	if l == nil {
		return openapi.LaterLook{}
	}
	return openapi.LaterLook{
		By: l.By, Role: openapi.Role(l.As), User: l.User, On: l.On.String(), Found: l.Says,
	}
}

func renderClearedStop(c clearance.Clearance, why string) openapi.ClearedStop {
	return openapi.ClearedStop{
		Clearance: c.ID, By: c.By, Says: c.Says, On: c.On.String(), Reference: c.Reference,
		Dated: DayOrEmpty(c.Dated), Why: why,
	}
}

// Undoable renders work that can't be done.
func Undoable(s scope.Stop) openapi.Stop {
	return openapi.Stop{
		Says: s.Text, Bars: []openapi.Act{openapi.Act(catalogue.ToBuy), openapi.Act(catalogue.ToWork)},
	}
}

// renderBidStops renders what stops a way of a bid. Up to engine 8 that stood in its scope, and
// what cleared it in the bid.
func renderBidStops(w bid.WayResult) []openapi.Stop {
	list := All(w.Stops, Stop)
	for _, s := range w.Scope.Stops {
		stop := Undoable(s)
		stop.Point = string(s.Point)
		for _, c := range w.Cleared {
			if c.Point == s.Point {
				stop.Bars = []openapi.Act{}
				stop.Cleared = openapi.ClearedStop{By: c.By, Says: c.Why}
			}
		}
		list = append(list, stop)
	}
	return list
}
