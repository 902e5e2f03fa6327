package openapi

import (
	"embed"
	"encoding/json"
	"fmt"
	"path"
	"strconv"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
)

// YAML is the contract as it was written.
//
//go:embed openapi.yaml
var YAML []byte

//go:embed examples/*.json
var examples embed.FS

// RecordedExchange is a request and the answer that the service gave to it, recorded by the tests.
// Ids, hashes and secrets are replaced by steady ones and long lists are cut; all else is as it was
// sent.
type RecordedExchange struct {
	Request  Sent   `json:"request"`
	Response Answer `json:"response"`
}

// Sent is a recorded request.
type Sent struct {
	Method  string            `json:"method"`
	Path    string            `json:"path"`
	Headers map[string]string `json:"headers,omitempty"`
	Body    any               `json:"body,omitempty"`
}

// Answer is a recorded answer. Body is text where the answer was no JSON.
type Answer struct {
	Status  int               `json:"status"`
	Headers map[string]string `json:"headers,omitempty"`
	Body    any               `json:"body,omitempty"`
}

// Load parses the contract, references resolved. Each call gives a document of the caller's own.
func Load() (*openapi3.T, error) {
	doc, err := openapi3.NewLoader().LoadFromData(YAML)
	if err != nil {
		return nil, fmt.Errorf("read the contract: %w", err)
	}
	return doc, nil
}

// Published returns the contract with the recorded exchanges as its examples.
func Published() (*openapi3.T, error) {
	doc, err := Load()
	if err != nil {
		return nil, err
	}
	recorded, err := recordedExchanges()
	if err != nil {
		return nil, err
	}
	for _, item := range doc.Paths.Map() {
		for _, o := range item.Operations() {
			if x, ok := recorded[o.OperationID]; ok {
				show(o, x)
			}
		}
	}
	return doc, nil
}

// recordedExchanges returns the recorded exchanges by the id of their operation.
func recordedExchanges() (map[string]RecordedExchange, error) {
	files, err := examples.ReadDir("examples")
	if err != nil {
		return nil, fmt.Errorf("list the recorded exchanges: %w", err)
	}
	recorded := make(map[string]RecordedExchange, len(files))
	for _, f := range files {
		b, err := examples.ReadFile(path.Join("examples", f.Name()))
		if err != nil {
			return nil, fmt.Errorf("read a recorded exchange: %w", err)
		}
		var x RecordedExchange
		if err := json.Unmarshal(b, &x); err != nil {
			return nil, fmt.Errorf("read the recorded exchange %s: %w", f.Name(), err)
		}
		recorded[strings.TrimSuffix(f.Name(), ".json")] = x
	}
	return recorded, nil
}

// show puts an exchange into its operation as the example of both bodies.
func show(o *openapi3.Operation, x RecordedExchange) {
	if o.RequestBody != nil && x.Request.Body != nil {
		exemplify(o.RequestBody.Value.Content, x.Request.Headers["Content-Type"], x.Request.Body)
	}
	if r := o.Responses.Value(strconv.Itoa(x.Response.Status)); r != nil && x.Response.Body != nil {
		exemplify(r.Value.Content, x.Response.Headers["Content-Type"], x.Response.Body)
	}
}

func exemplify(c openapi3.Content, mediaType string, body any) {
	mediaType, _, _ = strings.Cut(mediaType, ";")
	if m := c.Get(mediaType); m != nil {
		m.Example = body
	}
}
