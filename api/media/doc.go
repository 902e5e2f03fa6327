// Package media writes what the service sends in other forms than JSON (tables as CSV, the sheet of
// a bid as PDF, a catalogue as a zip archive), and reads such archives.
package media
