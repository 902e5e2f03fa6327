// Package schedule puts activities on working calendars.
package schedule
