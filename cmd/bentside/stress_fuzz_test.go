package main

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"time"
)

// fuzzExamples is how often the fuzzer tries each operation in one round: some 2,500 cases.
const fuzzExamples = 26

// fuzzed is what one round of the fuzzer tells.
type fuzzed struct {
	Cases struct {
		Generated int `json:"generated"`
		Failures  int `json:"with_failures"`
		Errored   int `json:"errored"`
	} `json:"test_cases"`
	Errors []struct{ Title string }
}

// fuzz lets the schema-driven fuzzer read the contract that the service publishes and ask for what
// it allows and what it doesn't, in rounds: each has a seed and a workshop of its own, so that a
// failure is repeated in a minute (-stress-only fuzzer -stress-seed, with the seed it names).
func (s *stressed) fuzz(size stressSize) row {
	if *fuzzer == "" {
		s.t.Log("the schema-driven fuzzer is left out: no -schemathesis")
		return row{}
	}
	start := time.Now()
	generated, failed := 0, 0
	for round := range size.fuzzRounds {
		found := s.fuzzRound(*stressSeed + uint64(round)) //nolint:gosec // small
		generated += found.Cases.Generated
		failed += found.Cases.Failures
		s.t.Logf("fuzzer, round %d of %d: %d cases, %d failed, %v", round+1, size.fuzzRounds,
			generated, failed, time.Since(start).Round(time.Second))
	}
	return row{
		what:         fmt.Sprintf("schema-driven fuzzer, %v", time.Since(start).Round(time.Second)),
		acknowledged: generated, failed: failed,
	}
}

// fuzzRound runs the fuzzer once.
func (s *stressed) fuzzRound(number uint64) fuzzed {
	shop := s.freshShop(fmt.Sprintf("Yewbank %d", number))
	report := filepath.Join(s.t.TempDir(), "report.json")
	seed := strconv.FormatUint(number%(1<<32), 10)
	ctx := s.t.Context()
	if end, limited := s.t.Deadline(); limited { // past it nobody would stop the service
		var cancel context.CancelFunc
		ctx, cancel = context.WithDeadline(ctx, end.Add(-time.Minute))
		defer cancel()
	}
	cmd := exec.CommandContext(ctx, *fuzzer, "run", shop.url+"/openapi.json",
		"-H", "Authorization: Bearer "+shop.token, "--phases", "fuzzing,stateful",
		"-n", strconv.Itoa(fuzzExamples), "--seed", seed, "-w", "2",
		"--checks", "not_a_server_error", "--continue-on-failure", "--suppress-health-check", "all",
		"--warnings", "off", "--report", "json", "--report-json-path", report,
		// it can write no zip; hostileBodies sends them
		"--exclude-operation-id", "importCatalogue", "--exclude-operation-id", "openBooks",
		"--exclude-operation-id", "revokeToken",
	)
	cmd.Dir = s.t.TempDir()
	said, err := cmd.CombinedOutput()
	var found fuzzed
	b, readErr := os.ReadFile(report) //nolint:gosec // our own
	if readErr != nil || json.Unmarshal(b, &found) != nil {
		s.t.Fatalf("the fuzzer left no report: %v %v\n%s", err, readErr, said)
	}
	if err != nil || found.Cases.Failures > 0 || len(found.Errors) > 0 {
		s.t.Errorf("the fuzzer (seed %s): %v\n%s", seed, err, said)
	}
	return found
}
