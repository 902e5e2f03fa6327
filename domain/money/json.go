package money

import (
	"encoding/json"
	"fmt"
)

// MarshalJSON writes {"amount":"1234.50","currency":"EUR"}. The zero Amount is refused with [*CurrencyError].
func (a Amount) MarshalJSON() ([]byte, error) {
	if a.currency.IsZero() {
		return nil, &CurrencyError{Reason: "no currency"}
	}
	return []byte(`{"amount":"` + a.Text() + `","currency":"` + a.currency.Code() + `"}`), nil
}

// UnmarshalJSON reads the form that MarshalJSON writes, in either order and no other member. The amount must be a
// JSON string: a JSON number passes through floating point in too many readers, so it is refused, as is null.
func (a *Amount) UnmarshalJSON(data []byte) error {
	var members map[string]json.RawMessage
	if err := json.Unmarshal(data, &members); err != nil {
		return &FormError{Reason: "not a JSON object"}
	}
	var text, code string
	for _, member := range []struct {
		name string
		to   *string
	}{{"amount", &text}, {"currency", &code}} {
		raw, present := members[member.name]
		if !present {
			return &FormError{Reason: fmt.Sprintf("member %q is missing", member.name)}
		}
		if len(raw) == 0 || raw[0] != '"' || json.Unmarshal(raw, member.to) != nil {
			return &FormError{Reason: fmt.Sprintf("member %q must be a JSON string", member.name)}
		}
	}
	if len(members) != 2 {
		return &FormError{Reason: "members other than amount and currency"}
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

// FormError says why a JSON value is not an amount.
type FormError struct {
	Reason string
}

// Error gives the reason.
func (e *FormError) Error() string { return "amount in JSON: " + e.Reason }
