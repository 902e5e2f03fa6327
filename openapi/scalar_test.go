package openapi_test

import (
	"regexp"
	"testing"

	"bentside/openapi"

	"go.yaml.in/yaml/v3"
)

// The two versions of YAML that tools read disagree about these scalars where they stand without
// quotes: 1.1 (https://yaml.org/type/) takes on, no and y for booleans, 0123 for octal, 12:30 for a
// number in base 60 and 2026-11-25 for a date.
var ambiguous = regexp.MustCompile(`^(?:` +
	`y|Y|yes|Yes|YES|n|N|no|No|NO|on|On|ON|off|Off|OFF` +
	`|True|TRUE|False|FALSE|~|null|Null|NULL|=|<<` +
	`|[-+]?0[0-9_]+|[-+]?0[box][0-9a-fA-F_]+|[-+]?[0-9][0-9_]*_[0-9_]*|\+[0-9.]+` +
	`|[-+]?[0-9][0-9_]*(:[0-5]?[0-9])+(\.[0-9_]*)?` +
	`|[-+]?\.(inf|Inf|INF|nan|NaN|NAN)|[-+]?[0-9][0-9_]*\.?[0-9_]*[eE][-+]?[0-9]+|[-+]?\.[0-9_]+|[0-9]+\.` +
	`|[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}([Tt ].*)?` +
	`)$`)

// What both versions read alike, but not as text: fine as a value, never meant as a key.
var notText = regexp.MustCompile(`^(?:true|false|-?(0|[1-9][0-9]*)(\.[0-9]+)?)$`)

// bare calls visit for every scalar without quotes, and says whether it is the key of a mapping.
func bare(n *yaml.Node, visit func(n *yaml.Node, isKey bool)) {
	for i, child := range n.Content {
		if child.Kind == yaml.ScalarNode && child.Style == 0 {
			visit(child, n.Kind == yaml.MappingNode && i%2 == 0)
		}
		bare(child, visit)
	}
}

func TestEveryToolReadsTheScalarsOfTheContractAlike(t *testing.T) {
	t.Parallel()
	var tree yaml.Node
	if err := yaml.Unmarshal(openapi.YAML, &tree); err != nil {
		t.Fatal(err)
	}
	count := 0
	bare(&tree, func(n *yaml.Node, isKey bool) {
		count++
		if ambiguous.MatchString(n.Value) || isKey && notText.MatchString(n.Value) {
			t.Errorf(
				"line %d: %s must be in quotes, since not every tool reads it as text", n.Line,
				n.Value,
			)
		}
	})
	if count == 0 {
		t.Fatal("found no scalar without quotes, so nothing was tested")
	}
}

func TestScalarsThatToolsReadDifferentlyAreRecognized(t *testing.T) {
	t.Parallel()
	for _, s := range []string{
		"on", "Off", "y", "NO", "~", "010", "0o17", "0x1F", "1_000", "12:30", "190:20:30", "1e3", ".5",
		".inf", "2026-11-25", "2026-11-25T09:12:00Z", "<<", "+1", "=",
	} {
		if !ambiguous.MatchString(s) {
			t.Errorf("%s passes as text", s)
		}
	}
	for _, s := range []string{
		"once", "true", "10", "-1", "0.5", "3.1.0", "only", "01938f5e-7c1a-7e2b-9c3d-4e5f60718293",
	} {
		if ambiguous.MatchString(s) {
			t.Errorf("%s is refused", s)
		}
	}
}
