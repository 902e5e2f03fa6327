package api_test

import (
	"bytes"
	"compress/gzip"
	"io"
	"net/http"
	"strconv"
	"testing"

	"bentside/domain"
)

// raw asks without the transport's own decompression.
func raw(t *testing.T, c *client, method, path string, headers map[string]string) answer {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), method, c.url+path, nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Authorization", "Bearer "+c.token)
	for name, value := range headers {
		r.Header.Set(name, value)
	}
	res, err := (&http.Transport{DisableCompression: true}).RoundTrip(r)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close() //nolint:errcheck // it is read
	body, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	return answer{status: res.StatusCode, header: res.Header, body: body}
}

func TestLongAnswersAreCompressedForWhomItSuits(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	const long = "/v1/catalogue"
	plain := raw(t, owner, http.MethodGet, long, nil)
	if plain.header.Get("Content-Encoding") != "" || len(plain.body) < 10_000 {
		t.Fatalf("without Accept-Encoding: %v, %d bytes", plain.header, len(plain.body))
	}
	for accept, compressed := range map[string]bool{
		"gzip": true, "br, gzip;q=0.5": true, "gzip;q=0": false, "identity": false, "br": false,
	} {
		a := raw(t, owner, http.MethodGet, long, map[string]string{"Accept-Encoding": accept})
		if got := a.header.Get("Content-Encoding") == "gzip"; got != compressed {
			t.Errorf("%s: compressed %v, want %v", accept, got, compressed)
			continue
		}
		if got := unzipped(t, a); !bytes.Equal(got, plain.body) {
			t.Errorf("%s: the content differs", accept)
		}
		if compressed && len(a.body)*3 > len(plain.body) {
			t.Errorf("%s: %d bytes of %d", accept, len(a.body), len(plain.body))
		}
		if a.header.Get("Vary") != "Accept-Encoding" ||
			a.header.Get("ETag") != plain.header.Get("ETag") {
			t.Errorf("%s: %v", accept, a.header)
		}
	}
}

func unzipped(t *testing.T, a answer) []byte {
	t.Helper()
	if a.header.Get("Content-Encoding") != "gzip" {
		return a.body
	}
	r, err := gzip.NewReader(bytes.NewReader(a.body))
	if err != nil {
		t.Fatal(err)
	}
	body, err := io.ReadAll(r)
	if err != nil {
		t.Fatal(err)
	}
	return body
}

func TestWhatCompressionDoesNotSuitIsSentAsItIs(t *testing.T) {
	t.Parallel()
	owner := openShop(t).as(domain.Owner)
	job := jobUnderWay(t, owner)
	one := "/v1/jobs/" + job.ID.String()
	tag := owner.do(http.MethodGet, one, nil).header.Get("ETag")
	gzipped := map[string]string{"Accept-Encoding": "gzip"}
	for what, c := range map[string]struct {
		method, path string
		headers      map[string]string
		status       int
	}{
		"a short answer":    {http.MethodGet, "/livez", gzipped, http.StatusOK},
		"a refusal":         {http.MethodGet, "/v1/jobs/none", gzipped, http.StatusUnprocessableEntity},
		"what is unchanged": {http.MethodGet, one, map[string]string{"Accept-Encoding": "gzip", "If-None-Match": tag}, http.StatusNotModified},
	} {
		a := raw(t, owner, c.method, c.path, c.headers)
		if a.status != c.status || a.header.Get("Content-Encoding") != "" {
			t.Errorf("%s: %d %v", what, a.status, a.header)
		}
		if n := a.header.Get("Content-Length"); n != "" && n != strconv.Itoa(len(a.body)) {
			t.Errorf("%s: %s bytes announced, %d sent", what, n, len(a.body))
		}
	}
	a := raw(t, owner, http.MethodHead, one, gzipped)
	if a.status != http.StatusOK || len(a.body) != 0 {
		t.Errorf("HEAD: %d, %d bytes", a.status, len(a.body))
	}
}
