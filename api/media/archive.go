package media

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"path"
	"slices"
	"strings"

	"bentside/api/problem"
	"bentside/domain/catalogue"
)

// Limits for an archive of data files. The shipped catalogue needs a fiftieth of them.
const (
	maxEntries   = 40
	maxFileSize  = 1 << 20
	maxTotalSize = 4 << 20
)

// Pack writes data files as a zip archive; the same files give the same bytes.
func Pack(files []catalogue.File) ([]byte, error) {
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for _, f := range files {
		out, err := w.Create(f.Name)
		if err != nil {
			return nil, fmt.Errorf("pack %s: %w", f.Name, err)
		}
		if _, err := out.Write(f.Body); err != nil {
			return nil, fmt.Errorf("pack %s: %w", f.Name, err)
		}
	}
	if err := w.Close(); err != nil {
		return nil, fmt.Errorf("close the archive: %w", err)
	}
	return b.Bytes(), nil
}

// Unpack reads data files from a zip archive. It accepts files of the given names only, all at the
// top or all in one folder, and enforces the limits whatever sizes the archive claims. It reports
// all faults at once, each with the name of its file.
func Unpack(archive []byte, names []string) ([]catalogue.File, error) {
	r, err := zip.NewReader(bytes.NewReader(archive), int64(len(archive)))
	if err != nil {
		return nil, problem.Refuse(problem.Malformed, "the body must be a zip archive: %v", err)
	}
	if len(r.File) > maxEntries {
		return nil, problem.RefuseField("#", "the archive has %d entries; it must have at most %d",
			len(r.File), maxEntries)
	}
	var wrong problem.Fields
	var files []catalogue.File
	left := int64(maxTotalSize)
	folder := ""
	for i, entry := range r.File {
		if entry.FileInfo().IsDir() {
			continue
		}
		name := path.Base(entry.Name)
		at := "#/" + problem.EscapePointer(name)
		if i == 0 || len(files) == 0 {
			folder = path.Dir(entry.Name)
		}
		switch {
		case !slices.Contains(names, name) || path.Dir(entry.Name) != folder:
			wrong.Add(at, "%q must be one of %s, in the same folder as the others", entry.Name,
				strings.Join(names, ", "))
			continue
		case slices.ContainsFunc(files, func(f catalogue.File) bool { return f.Name == name }):
			wrong.Add(at, "is in the archive twice")
			continue
		}
		body, err := inflate(entry, min(maxFileSize, left))
		if err != nil {
			wrong.Add(at, "%v", err)
		}
		left -= int64(len(body))
		files = append(files, catalogue.File{Name: name, Body: body})
	}
	if err := wrong.Err(); err != nil {
		return nil, err
	}
	return files, nil
}

// inflate reads an entry up to a limit, whatever size it claims.
func inflate(entry *zip.File, limit int64) ([]byte, error) {
	if entry.Flags&1 != 0 {
		return nil, errors.New("is encrypted")
	}
	in, err := entry.Open()
	if err != nil {
		return nil, fmt.Errorf("cannot be unpacked: %w", err)
	}
	defer in.Close() //nolint:errcheck // read only: nothing can be lost
	body, err := io.ReadAll(io.LimitReader(in, limit+1))
	switch {
	case err != nil:
		return nil, fmt.Errorf("cannot be unpacked: %w", err)
	case int64(len(body)) > limit:
		return nil, fmt.Errorf("unpacks to more than the %d bytes left for it", limit)
	}
	return body, nil
}
