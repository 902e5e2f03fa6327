package demo_test

import (
	"bytes"
	"flag"
	"log/slog"
	"os"
	"testing"
	"time"

	"bentside/api/app"
	"bentside/api/demo"
	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
)

var update = flag.Bool("update", false, "rewrite the golden files")

func tell(t *testing.T) demo.Story {
	t.Helper()
	ctx := t.Context()
	store, err := postgres.Open(ctx, pgtest.New(t).Service, 4)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(store.Close)
	clock, err := demo.Clock(func() time.Duration { return 0 })
	if err != nil {
		t.Fatal(err)
	}
	s, err := demo.Tell(ctx, app.New(store, clock, slog.New(slog.DiscardHandler)), func(string) {})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// The printed story is a document that a buyer reads, so it is kept whole.
func TestTheStoryPrintsTheSameEveryTime(t *testing.T) {
	t.Parallel()
	var got bytes.Buffer
	if err := tell(t).Print(&got); err != nil {
		t.Fatal(err)
	}
	const golden = "testdata/story.txt"
	if *update {
		if err := os.WriteFile(golden, got.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatalf("%v; write it with -update", err)
	}
	if !bytes.Equal(got.Bytes(), want) {
		t.Errorf("the story has changed; if it should have, write it anew with -update and read the difference. Got:\n%s", got.String())
	}
}
