package domain

import (
	"strings"

	"github.com/google/uuid"
)

// Party is a person or a firm outside the workshop: a client, a seller, a firm
// that works for us. Everything else names a party by its id, so that what is
// personal stands in one place and can be overwritten there.
type Party struct {
	ID      uuid.UUID `json:"id"`
	Name    string    `json:"name"`
	Email   string    `json:"email,omitempty"`
	Phone   string    `json:"phone,omitempty"`
	Address string    `json:"address,omitempty"`
	Note    string    `json:"note,omitempty"`
}

// maxText is the most characters of an address or a note.
const maxText = 2000

// Check returns an Invalid Fault with everything that cannot be right of a
// party, or nil.
func (p Party) Check() error {
	var f Faults
	if strings.TrimSpace(p.Name) == "" || len(p.Name) > maxName {
		f.Add("#/name", "must be given, in at most %d characters", maxName)
	}
	if p.Email != "" && (len(p.Email) > maxName || !strings.Contains(p.Email, "@")) {
		f.Add("#/email", "is no address of electronic mail")
	}
	if len(p.Phone) > maxName {
		f.Add("#/phone", "has more than %d characters", maxName)
	}
	for _, x := range []struct{ pointer, text string }{{"#/address", p.Address}, {"#/note", p.Note}} {
		if len(x.text) > maxText {
			f.Add(x.pointer, "has more than %d characters", maxText)
		}
	}
	return f.Err()
}
