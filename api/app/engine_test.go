package app_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"flag"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/plan"

	"github.com/google/uuid"
)

var update = flag.Bool("update", false,
	"keep bids and a plan of the engine's current version, if none are kept yet")

// kept holds the documents that each version of the engine read and wrote. Each version has a
// folder with the inputs and result of every bid and of a plan; the catalogues they name are
// shared, by hash.
const (
	kept       = "testdata/engine"
	catalogues = kept + "/catalogues"
)

// planName is the name of a version's plan; every other name is a bid.
const planName = "plan"

func keptFile(version, name, what string) string {
	return filepath.Join(kept, version, name+"."+what+".json")
}

// keptNames returns the names of the documents kept for a version of the engine.
func keptNames(t *testing.T, version string) []string {
	t.Helper()
	const end = ".inputs.json"
	files, err := filepath.Glob(keptFile(version, "*", "inputs"))
	if err != nil {
		t.Fatal(err)
	}
	names := make([]string, len(files))
	for i, f := range files {
		names[i] = strings.TrimSuffix(filepath.Base(f), end)
	}
	return names
}

func read(t *testing.T, file string) []byte {
	t.Helper()
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// keptCatalogue returns the catalogue with a hash, parsed and as stored.
func keptCatalogue(t *testing.T, hash string) (*catalogue.Catalogue, []byte) {
	t.Helper()
	document := read(t, filepath.Join(catalogues, hash+".json"))
	if sum := sha256.Sum256(document); hex.EncodeToString(sum[:]) != hash {
		t.Fatalf("the catalogue kept as %s has another hash: never edit kept documents", hash)
	}
	c, err := catalogue.Parse(document)
	if err != nil {
		t.Fatal(err)
	}
	return c, document
}

// recompute computes the result of a kept document again.
func recompute(t *testing.T, version, name string) []byte {
	t.Helper()
	inputs := read(t, keptFile(version, name, "inputs"))
	if name == planName {
		return recomputePlan(t, inputs)
	}
	in, err := bid.ParseInputs(inputs)
	if err != nil {
		t.Fatal(err)
	}
	if again := in.Canonical(); !bytes.Equal(again, inputs) {
		t.Errorf("the inputs are written differently from how they were read: %s",
			firstDifference(t, inputs, again))
	}
	c, _ := keptCatalogue(t, in.Catalogue)
	result, err := bid.Compute(t.Context(), in, c, zoneOf(t, in.Workshop))
	if err != nil {
		t.Fatal(err)
	}
	return result.Canonical()
}

func recomputePlan(t *testing.T, inputs []byte) []byte {
	t.Helper()
	var in plan.Inputs
	if err := json.Unmarshal(inputs, &in); err != nil {
		t.Fatal(err)
	}
	if again := in.Canonical(); !bytes.Equal(again, inputs) {
		t.Errorf("the inputs are written differently from how they were read: %s",
			firstDifference(t, inputs, again))
	}
	var of []*catalogue.Catalogue
	for _, j := range in.Jobs {
		c, _ := keptCatalogue(t, j.Catalogue)
		of = append(of, c)
	}
	p, err := plan.Compute(t.Context(), in, of, zoneOf(t, in.Workshop), 2)
	if err != nil {
		t.Fatal(err)
	}
	return p.Canonical()
}

func zoneOf(t *testing.T, w domain.Workshop) *time.Location {
	t.Helper()
	zone, err := time.LoadLocation(w.Zone)
	if err != nil {
		t.Fatal(err)
	}
	return zone
}

// whatToDo tells whoever changed a result how to go on.
const whatToDo = "If that is intended, raise bid.Engine, so that bids stored before can be told " +
	"from new ones, and keep bids of the new version: go test ./api/app -run SameVersion -update. " +
	"Never edit what is kept of a version."

// Stored bids can only be recomputed byte for byte if results never change within a version of the
// engine.
func TestResultsStayTheSameWhileTheEngineHasTheSameVersion(t *testing.T) {
	t.Parallel()
	if *update {
		keepVersion(t)
	}
	names := keptNames(t, bid.Engine)
	if !slices.Equal(names, everyKind()) {
		t.Fatalf("engine %s has %v kept, want %v: run this test with -update", bid.Engine,
			names, everyKind())
	}
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			was, now := read(t, keptFile(bid.Engine, name, "result")),
				recompute(t, bid.Engine, name)
			if !bytes.Equal(was, now) {
				t.Errorf("engine %s no longer gives the result kept for it: %s. %s",
					bid.Engine, firstDifference(t, was, now), whatToDo)
			}
		})
	}
}

// The kept bids of the current version must together exercise every part of the engine.
func TestTheBidsKeptOfAVersionAskEveryPartOfTheEngine(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for _, name := range keptNames(t, bid.Engine) {
		if name == planName {
			continue
		}
		in, err := bid.ParseInputs(read(t, keptFile(bid.Engine, name, "inputs")))
		if err != nil {
			t.Fatal(err)
		}
		result, err := bid.ParseResult(read(t, keptFile(bid.Engine, name, "result")))
		if err != nil {
			t.Fatal(err)
		}
		for what := range partsAsked(in, result) {
			seen[what] = true
		}
	}
	for _, what := range []string{
		"form purchase", "form consigned", "form part_exchange", "form donor", "grand", "upright",
		"depth as_found", "depth recondition", "depth restore", "outcome buy", "outcome leave",
		"outcome stopped",
		"tax none", "tax standard", "tax margin", "unknown points", "odds of a point", "queue",
		"held job", "suspended task",
		"work begun", "work over", "absence of a person", "absence of a station",
		"premium by bands", "steps by bands",
		"edits", "defects", "days on the floor", "duty", "clearance", "seller asks", "sale range",
	} {
		if !seen[what] {
			t.Errorf("no bid kept for engine %s exercises: %s", bid.Engine, what)
		}
	}
}

// The kept plan of the current version must wait for parts that are ordered and for some that
// aren't.
func TestThePlanKeptOfAVersionWaitsForParts(t *testing.T) {
	t.Parallel()
	in, err := plan.ParseInputs(read(t, keptFile(bid.Engine, planName, "inputs")))
	if err != nil {
		t.Fatal(err)
	}
	ordered, not := 0, 0
	for _, j := range in.Jobs {
		for _, s := range j.Left.Supplied {
			for _, w := range s.Waits {
				if w.LeadDays == 0 {
					ordered++
				} else {
					not++
				}
			}
		}
	}
	if ordered == 0 || not == 0 {
		t.Errorf("waits for %d parts that are ordered and %d that aren't, want some of each", ordered,
			not)
	}
}

// partsAsked returns the parts of the engine that a bid exercises.
func partsAsked(in bid.Inputs, r bid.Result) map[string]bool {
	q := in.Asked
	parts := map[string]bool{
		"form " + string(q.AcquiredBy()): true, string(in.Instrument.Kind): true,
		"tax " + string(in.Workshop.Terms.TaxRegime): true,
		"odds of a point":  len(in.Workshop.Terms.UnknownOdds.Points) > 0,
		"premium by bands": len(q.Premium) > 0, "steps by bands": len(q.Steps) > 0,
		"duty":        q.Duty.IsPositive(),
		"seller asks": q.SellerAsks != nil, "queue": len(in.Queue) > 0,
	}
	for _, s := range in.Stops {
		parts["clearance"] = parts["clearance"] || s.Clearance != nil
	}
	for _, w := range q.Ways {
		parts["depth "+string(w.Depth)] = true
		parts["edits"] = parts["edits"] || len(w.Edits) > 0
		parts["defects"] = parts["defects"] || len(w.Defects) > 0
		parts["days on the floor"] = parts["days on the floor"] || w.DaysOnFloor != nil
		parts["sale range"] = parts["sale range"] || w.SaleLow != nil && w.SaleHigh != nil
	}
	for _, w := range r.Ways {
		parts["outcome "+string(w.Outcome)] = true
	}
	for _, j := range r.Judgements {
		parts["unknown points"] = parts["unknown points"] || j.Severity == catalogue.Unknown
	}
	for _, j := range in.Queue {
		parts["held job"] = parts["held job"] || !j.Held.IsZero()
		parts["suspended task"] = parts["suspended task"] || len(j.Suspended) > 0
		parts["work begun"] = parts["work begun"] || len(j.Begun) > 0
		parts["work over"] = parts["work over"] || len(j.Ended) > 0
	}
	for _, a := range in.Absences {
		parts["absence of a person"] = parts["absence of a person"] || a.Person != uuid.Nil
		parts["absence of a station"] = parts["absence of a station"] || a.Station != uuid.Nil
	}
	maps.DeleteFunc(parts, func(_ string, asked bool) bool { return !asked })
	return parts
}

// Whichever engine made a bid, it is shown as it was. Computed again, it comes to the same result,
// or the answer names the engine that made it.
func TestAStoredBidOfEveryEngineRecomputesOrNamesItsEngine(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	a, s := told(t)
	newest, err := strconv.Atoi(bid.Engine)
	if err != nil {
		t.Fatal(err)
	}
	for n := 1; n <= newest; n++ {
		version := strconv.Itoa(n)
		names := slices.DeleteFunc(keptNames(t, version),
			func(name string) bool { return name == planName })
		if len(names) == 0 {
			t.Errorf("no bid of engine %s is kept", version)
		}
		for _, name := range names {
			b := store(t, s, version, name)
			shown, err := a.Bid(ctx, s.Owner, b.ID)
			if err != nil {
				t.Errorf("engine %s, %s: %v", version, name, err)
				continue
			}
			if shown.Inputs.Engine != version || shown.Engine != version ||
				len(shown.Result.Ways) == 0 {
				t.Errorf("engine %s, %s: shown as engine %s with %d ways", version, name,
					shown.Engine, len(shown.Result.Ways))
			}
			got, err := a.RecomputeBid(ctx, s.Owner, b.ID)
			switch {
			case err != nil:
				t.Errorf("engine %s, %s: %v", version, name, err)
			case got.Engine != bid.Engine || got.Stored != b.Result:
				t.Errorf("engine %s, %s: got %+v", version, name, got)
			case version == bid.Engine && !got.Same:
				t.Errorf("engine %s, %s: the result has changed: %s", version, name, got.Says)
			case !got.Same && !strings.Contains(got.Says, "engine "+version):
				t.Errorf("engine %s, %s: says %q, want the engine named", version, name, got.Says)
			}
		}
	}
}

// store puts a kept bid into the workshop, with all its documents.
func store(t *testing.T, s toldStory, version, name string) postgres.Bid {
	t.Helper()
	inputs, result := read(t, keptFile(version, name, "inputs")),
		read(t, keptFile(version, name, "result"))
	in, err := bid.ParseInputs(inputs)
	if err != nil {
		t.Fatal(err)
	}
	b := s.Bid.Bid
	b.ID, b.Engine = uuid.New(), version
	err = s.Store.Write(t.Context(), s.Owner, time.Now(), func(tx *postgres.Tx) error {
		if _, err := tx.KeepDocument(t.Context(),
			read(t, filepath.Join(catalogues, in.Catalogue+".json"))); err != nil {
			return err
		}
		if b.Inputs, err = tx.KeepDocument(t.Context(), inputs); err != nil {
			return err
		}
		if b.Result, err = tx.KeepDocument(t.Context(), result); err != nil {
			return err
		}
		return tx.AddBid(t.Context(), b)
	})
	if err != nil {
		t.Fatalf("store %s of engine %s: %v", name, version, err)
	}
	return b
}

// firstDifference describes the first place in which two documents differ.
func firstDifference(t *testing.T, was, now []byte) string {
	t.Helper()
	var a, b any
	if err := json.Unmarshal(was, &a); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(now, &b); err != nil {
		t.Fatal(err)
	}
	if says := differenceAt("", a, b); says != "" {
		return says
	}
	return "the same values in another order"
}

func differenceAt(at string, was, now any) string {
	switch w := was.(type) {
	case map[string]any:
		n, ok := now.(map[string]any)
		if !ok {
			break
		}
		keys := slices.Sorted(maps.Keys(w))
		for k := range n {
			if _, old := w[k]; !old {
				keys = append(keys, k)
			}
		}
		for _, k := range keys {
			if says := differenceAt(at+"/"+k, w[k], n[k]); says != "" {
				return says
			}
		}
		return ""
	case []any:
		n, ok := now.([]any)
		if !ok || len(n) != len(w) {
			break
		}
		for i := range w {
			if says := differenceAt(fmt.Sprintf("%s/%d", at, i), w[i], n[i]); says != "" {
				return says
			}
		}
		return ""
	}
	if reflect.DeepEqual(was, now) {
		return ""
	}
	return fmt.Sprintf("at %s it was %s, and is %s", at, brief(was), brief(now))
}

// brief returns a value as JSON, cut to a line.
func brief(v any) string {
	const most = 80
	b, err := json.Marshal(v)
	if err != nil {
		return err.Error()
	}
	if len(b) > most {
		return string(b[:most]) + "…"
	}
	return string(b)
}

// keepVersion writes bids and a plan of the engine's current version, made through the use cases.
// It never overwrites, because the results of a version must not change.
func keepVersion(t *testing.T) {
	t.Helper()
	if len(keptNames(t, bid.Engine)) > 0 {
		t.Logf("bids of engine %s are already kept", bid.Engine)
		return
	}
	for _, d := range makeEveryKind(t) {
		for file, body := range map[string][]byte{
			keptFile(bid.Engine, d.name, "inputs"): d.inputs,
			keptFile(bid.Engine, d.name, "result"): d.result,
		} {
			write(t, file, body)
		}
		for _, c := range d.catalogues {
			sum := sha256.Sum256(c)
			write(t, filepath.Join(catalogues, hex.EncodeToString(sum[:])+".json"), c)
		}
	}
}

func write(t *testing.T, file string, body []byte) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(file), 0o750); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, body, 0o600); err != nil {
		t.Fatal(err)
	}
}
