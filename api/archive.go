package api

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"path"
	"slices"

	"bentside/domain/catalogue"
)

// Bounds of an archive of data files. A shipped catalogue is a fiftieth of
// them.
const (
	maxEntries   = 40
	maxFileSize  = 1 << 20
	maxTotalSize = 4 << 20
)

// pack writes data files as a zip archive; the same files give the same bytes.
func pack(files []catalogue.File) ([]byte, error) {
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

// unpack reads the data files of a catalogue from a zip archive: these names
// and no others, at the top or in one folder, and no more than the bounds
// however little the archive says it holds. All faults come back at once, each
// with the name of its file.
func unpack(archive []byte) ([]catalogue.File, error) {
	r, err := zip.NewReader(bytes.NewReader(archive), int64(len(archive)))
	if err != nil {
		return nil, refuse(malformed, "the body is no zip archive: %v", err)
	}
	if len(r.File) > maxEntries {
		return nil, refuseField("#", "the archive holds %d entries, more than %d", len(r.File), maxEntries)
	}
	var faults fieldFaults
	var files []catalogue.File
	left := int64(maxTotalSize)
	folder := ""
	for i, entry := range r.File {
		if entry.FileInfo().IsDir() {
			continue
		}
		name := path.Base(entry.Name)
		at := "#/" + escapePointer(name)
		if i == 0 || len(files) == 0 {
			folder = path.Dir(entry.Name)
		}
		switch {
		case !slices.Contains(catalogue.FileNames(), name) || path.Dir(entry.Name) != folder:
			faults.add(at, "%q is no data file of a catalogue, or not beside the others", entry.Name)
			continue
		case slices.ContainsFunc(files, func(f catalogue.File) bool { return f.Name == name }):
			faults.add(at, "stands in the archive twice")
			continue
		}
		body, err := inflate(entry, min(maxFileSize, left))
		if err != nil {
			faults.add(at, "%v", err)
		}
		left -= int64(len(body))
		files = append(files, catalogue.File{Name: name, Body: body})
	}
	if len(faults) > 0 {
		return nil, refuseFields(faults.sorted())
	}
	return files, nil
}

// inflate reads an entry up to a bound, whatever size it claims.
func inflate(entry *zip.File, bound int64) ([]byte, error) {
	if entry.Flags&1 != 0 {
		return nil, errors.New("is encrypted")
	}
	in, err := entry.Open()
	if err != nil {
		return nil, fmt.Errorf("cannot be unpacked: %w", err)
	}
	defer in.Close() //nolint:errcheck // read only: nothing can be lost
	body, err := io.ReadAll(io.LimitReader(in, bound+1))
	switch {
	case err != nil:
		return nil, fmt.Errorf("cannot be unpacked: %w", err)
	case int64(len(body)) > bound:
		return nil, fmt.Errorf("unpacks to more than its share of %d bytes", bound)
	}
	return body, nil
}
