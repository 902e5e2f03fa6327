package page_test

import (
	"bytes"
	"testing"
	"time"

	"bentside/api/page"
	"bentside/api/postgres"

	"github.com/google/uuid"
)

func FuzzCursor(f *testing.F) {
	cursors, err := page.NewCursors([]byte("the key of this test"))
	if err != nil {
		f.Fatal(err)
	}
	at := time.Date(2026, 11, 25, 9, 12, 0, 123456000, time.UTC)
	place := postgres.Place{
		CreatedAt: at, ID: uuid.MustParse("01938f5e-7c1a-7e2b-9c3d-4e5f60718293"),
	}
	f.Add("instruments", cursors.Seal("instruments", place))
	f.Add("instruments", "")
	f.Add("surveys", "AAAA")
	f.Add("surveys", cursors.Seal("instruments", place)+"=")
	f.Fuzz(func(t *testing.T, list, cursor string) {
		got, err := cursors.Open(list, cursor)
		if err == nil && cursors.Seal(list, got) != cursor {
			t.Errorf("%q of %q opens as %+v, which is sealed otherwise", cursor, list, got)
		}
		back, err := cursors.Open(list, cursors.Seal(list, place))
		if err != nil || back != place {
			t.Errorf("got %+v, %v, want %+v", back, err, place)
		}
		if _, err := cursors.Open(list+"x", cursors.Seal(list, place)); err == nil {
			t.Error("a cursor opens another list")
		}
	})
}

func TestACursorOfAnotherKeyIsRefused(t *testing.T) {
	t.Parallel()
	one, err := page.NewCursors(nil)
	if err != nil {
		t.Fatal(err)
	}
	two, err := page.NewCursors(bytes.Repeat([]byte{7}, 32))
	if err != nil {
		t.Fatal(err)
	}
	place := postgres.Place{CreatedAt: time.Unix(0, 0).UTC(), ID: uuid.Nil}
	if _, err := two.Open("list", one.Seal("list", place)); err == nil {
		t.Error("a cursor opens with another key")
	}
}
