package catalogue_test

import (
	"io/fs"
	"os"
	"strings"
	"testing"

	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
)

func TestEachOptionSaysOnceWhatTheNextOwnerGets(t *testing.T) {
	t.Parallel()
	list, err := catalogue.NextOwners()
	if err != nil {
		t.Fatal(err)
	}
	options := 0
	for _, c := range domaintest.Shipped(t).Choices {
		options += len(c.Options)
	}
	if len(list) != options || options == 0 {
		t.Errorf("%d sentences for %d options", len(list), options)
	}
}

func TestATableThatLeavesOutOrRepeatsAnOptionIsntRead(t *testing.T) {
	t.Parallel()
	shipped, err := fs.ReadFile(os.DirFS("data"), "nextowners.csv")
	if err != nil {
		t.Fatal(err)
	}
	const keep = "HAMMER,keep,"
	for fault, change := range map[string][2]string{
		"HAMMER=keep has no row":        {keep, "HAMMER,replace,"},
		"must name HAMMER=replace only": {keep, "HAMMER,replace,"},
		"HAMMER=gone isn't an option":   {keep, "HAMMER,gone,"},
		"must begin with one of":        {"common practice, no source", "hearsay"},
	} {
		_, err := catalogue.ReadNextOwners(
			domaintest.Shipped(t), func(string) ([]byte, error) {
				return []byte(strings.Replace(string(shipped), change[0], change[1], 1)), nil
			},
		)
		if err == nil || !strings.Contains(err.Error(), fault) {
			t.Errorf("got %v, want a table that says %q", err, fault)
		}
	}
}
