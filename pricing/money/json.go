package money

import (
	"encoding/json"
	"fmt"
)

// MarshalJSON returns {"amount":"1234.50","currency":"EUR"}, and [*CurrencyError] for the zero
// Amount.
func (a Amount) MarshalJSON() ([]byte, error) {
	if a.currency.IsZero() {
		return nil, &CurrencyError{Reason: "no currency"}
	}
	return []byte(`{"amount":"` + a.Text() + `","currency":"` + a.currency.Code() + `"}`), nil
}

// UnmarshalJSON reads the form that MarshalJSON writes, its two members in either order and no
// other. The amount must be a JSON string: too many readers pass a JSON number through floating
// point, so numbers are refused, and so is null.
func (a *Amount) UnmarshalJSON(data []byte) error {
	var members map[string]json.RawMessage
	if err := json.Unmarshal(data, &members); err != nil {
		return &FormError{Reason: "must be a JSON object"}
	}
	var text, code string
	for _, member := range []struct {
		name string
		to   *string
	}{{"amount", &text}, {"currency", &code}} {
		raw, present := members[member.name]
		if !present {
			return &FormError{Reason: fmt.Sprintf("must have the member %q", member.name)}
		}
		if len(raw) == 0 || raw[0] != '"' || json.Unmarshal(raw, member.to) != nil {
			return &FormError{Reason: fmt.Sprintf("member %q must be a JSON string", member.name)}
		}
	}
	if len(members) != 2 {
		return &FormError{Reason: "must have no members but amount and currency"}
	}
	c, err := ParseCurrency(code)
	if err != nil {
		return err
	}
	parsed, err := Parse(text, c)
	if err != nil {
		return err
	}
	*a = parsed
	return nil
}

// FormError says why a JSON value isn't an amount.
type FormError struct {
	Reason string
}

// Error gives the reason.
func (e *FormError) Error() string { return "amount in JSON: " + e.Reason }
