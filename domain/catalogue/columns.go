package catalogue

// The columns of the files.
var (
	currencyColumns   = []string{"code"}
	operationsColumns = []string{
		"code", "name", "phase", "skill", "station", "subassembly", "group", "driver",
		"grand_quantity", "grand_setup", "grand_rate", "grand_low", "grand_high",
		"upright_quantity", "upright_setup", "upright_rate", "upright_low", "upright_high",
		"crew", "tail_hours", "tail_note", "sittings", "gap_hours", "making", "emits", "needs",
		"hazards", "for_sale", "marks", "standing", "note",
	}
	leadsColumns  = []string{"operation", "item", "weeks", "after", "standing"}
	buyingColumns = []string{
		"operation", "price_grand", "price_upright", "carriage", "turn_round_weeks", "standing",
	}
	linksColumns   = []string{"from", "to", "type", "lag_hours", "binding", "reason", "standing"}
	choicesColumns = []string{
		"group", "option", "operations", "optional", "refused", "refused_why", "standing",
	}
	materialsColumns = []string{
		"operation", "name", "unit", "driver", "per_driver", "fixed", "waste", "unit_price", "when",
		"standing",
	}
	companionsColumns = []string{
		"id", "when", "if", "calls", "necessity", "reason", "standing",
	}
	pointsColumns = []string{
		"code", "component", "kinds", "observe", "how", "sample", "unit", "type",
		"accept", "must", "absurd", "answers", "flag", "attention_is", "must_act_is",
		"hard_stop", "photo", "marks", "standing", "source",
	}
	rulesColumns = []string{
		"id", "depths", "when", "calls", "suggest", "revealed_by", "reason", "standing",
	}
)
