package main

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
	"time"
)

var (
	stress     = flag.String("stress", "", "short or long: how much .ci/stress asks of the service")
	stressSeed = flag.Uint64("stress-seed", 0, "what is drawn at random; 0: from the clock")
	stressOnly = flag.String("stress-only", "", "the parts to run, with commas; empty: all")
	fuzzer     = flag.String("schemathesis", "", "the program; empty: the fuzzer is left out")
	tableFile  = flag.String("stress-table", "", "file that the rows of the table are added to")
)

// stressSize says how much of each kind of trouble there is.
type stressSize struct {
	killsOfService, killsOfBackend, killsOfPostmaster int
	writers                                           int
	flood                                             time.Duration
	foreignIDs                                        int // of each table, in the tenant matrix
	hostile                                           int // bodies
	fuzzRounds                                        int // of some 3,500 cases
}

var stressSizes = map[string]stressSize{
	"short": {
		killsOfService: 6, killsOfBackend: 4, killsOfPostmaster: 3, writers: 8, flood: 6 * time.Second,
		foreignIDs: 1, hostile: 800, fuzzRounds: 1,
	},
	"long": {
		killsOfService: 200, killsOfBackend: 50, killsOfPostmaster: 50, writers: 16,
		flood: 30 * time.Second, foreignIDs: 3, hostile: 10_000, fuzzRounds: 30,
	},
}

// TestStress runs the service in a process of its own, does to it what it must survive, and prints
// a table. It fails where an acknowledged write is lost or took effect twice, where a workshop is
// shown what is another's, and where the service calls a fault its own. See .ci/stress.
func TestStress(t *testing.T) {
	size, asked := stressSizes[*stress]
	if !asked {
		t.Skip("only with -stress short or -stress long")
	}
	if *stressSeed == 0 {
		*stressSeed = uint64(time.Now().UnixNano())
	}
	t.Logf("repeat with -stress-seed %d", *stressSeed)
	s := startService(t)
	for _, part := range []struct {
		name string
		run  func(*stressed, stressSize) row
	}{
		{"service", (*stressed).killService},
		{"backend", (*stressed).killBackends},
		{"postmaster", (*stressed).killPostmaster},
		{"flood", (*stressed).floodAtARate},
		{"clients", (*stressed).floodByClients},
		{"tenants", (*stressed).tenantMatrix},
		{"hostile", (*stressed).hostileBodies},
		{"fuzzer", (*stressed).fuzz},
	} {
		if *stressOnly != "" && !slices.Contains(strings.Split(*stressOnly, ","), part.name) {
			continue
		}
		s.peak, s.rng = 0, rand.New(rand.NewPCG(*stressSeed, uint64(len(part.name)))) //nolint:gosec // replayable
		r := part.run(s, size)
		if r.what == "" {
			continue
		}
		s.notePeak()
		r.memory = s.peak
		s.print(r)
	}
	s.stop()
	if races := s.racesLogged(); races != "" {
		t.Errorf("two goroutines of the service touched the same memory (seed %d):\n%s", *stressSeed, races)
	}
}

// row is a row of the table.
type row struct {
	what                                           string
	acknowledged, lost, duplicated, leaked, failed int
	took                                           []time.Duration
	memory                                         int64 // kB, of the service
}

func (s *stressed) print(r row) {
	p99 := "–"
	if len(r.took) > 0 {
		p99 = fmt.Sprintf("%.1f ms", quantile(r.took, .99))
	}
	text := fmt.Sprintf("| %s | %d | %d | %d | %d | %d | %s | %d MB |", r.what, r.acknowledged,
		r.lost, r.duplicated, r.leaked, r.failed, p99, r.memory/1024)
	s.t.Log(text)
	if *tableFile != "" {
		f, err := os.OpenFile(*tableFile, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
		if err != nil {
			s.t.Fatal(err)
		}
		if _, err := fmt.Fprintln(f, text); err != nil {
			s.t.Fatal(err)
		}
		if err := f.Close(); err != nil {
			s.t.Fatal(err)
		}
	}
	if r.lost+r.duplicated+r.leaked+r.failed > 0 {
		s.t.Errorf("%s: %d lost, %d duplicated, %d leaked, %d × 5xx (seed %d); the service's log:\n%s",
			r.what, r.lost, r.duplicated, r.leaked, r.failed, *stressSeed, s.complaints())
	}
	if r.acknowledged == 0 {
		s.t.Errorf("%s: nothing was acknowledged, which proves nothing", r.what)
	}
}

// racesLogged returns the service's log from the first data race on, which the race detector finds
// where the tests are built with it.
func (s *stressed) racesLogged() string {
	log, err := os.ReadFile(s.log)
	if err != nil {
		s.t.Fatal(err)
	}
	at := strings.Index(string(log), "WARNING: DATA RACE")
	if at < 0 {
		return ""
	}
	return string(log[at:min(len(log), at+10_000)])
}

// complaints returns the first errors in the service's log.
func (s *stressed) complaints() string {
	log, err := os.ReadFile(s.log)
	if err != nil {
		s.t.Fatal(err)
	}
	var found []string
	for line := range strings.SplitSeq(string(log), "\n") {
		if strings.Contains(line, `"level":"ERROR"`) && len(found) < 20 {
			found = append(found, line[:min(len(line), 2000)])
		}
	}
	return strings.Join(found, "\n")
}
