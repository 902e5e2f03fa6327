package domain

import (
	"strings"
	"unicode/utf8"

	"github.com/google/uuid"
)

// Party is a person or a firm outside the workshop: a client, a seller, a firm that works for us.
// Everything else names a party by its id, so that personal data is held, and can be erased, in one
// place.
type Party struct {
	ID      uuid.UUID `json:"id"`
	Name    string    `json:"name"`
	Email   string    `json:"email,omitempty"`
	Phone   string    `json:"phone,omitempty"`
	Address string    `json:"address,omitempty"`
	Note    string    `json:"note,omitempty"`
}

// Check returns an Invalid Fault with everything wrong in a party, or nil.
func (p Party) Check() error {
	var f Faults
	if strings.TrimSpace(p.Name) == "" || utf8.RuneCountInString(p.Name) > MaxName {
		f.Add("#/name", "must be given, in at most %d characters", MaxName)
	}
	if p.Email != "" && (utf8.RuneCountInString(p.Email) > MaxName || !strings.Contains(p.Email, "@")) {
		f.Add("#/email", "must be an email address")
	}
	f.CheckLength("#/phone", p.Phone, MaxName)
	f.CheckLength("#/address", p.Address, MaxText)
	f.CheckLength("#/note", p.Note, MaxText)
	return f.Err()
}
