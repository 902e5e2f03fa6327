package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/survey"

	"github.com/google/uuid"
)

// TakenOff is an instrument with its take-off and strings.
type TakenOff struct {
	Instrument instrument.Instrument
	Survey     uuid.UUID // source of the counts; zero: none
	Judgements survey.Judgements
	Catalogue  *catalogue.Catalogue
	TakeOff    instrument.TakeOff
	Strings    instrument.StringReport // on the usual terms
}

// TakeOff takes off every quantity of an instrument, from its newest survey under the newest
// catalogue.
func (a *App) TakeOff(
	ctx context.Context, actor Actor, instrumentID uuid.UUID,
) (Versioned[TakenOff], error) {
	return a.takeOff(ctx, a.Read(ctx, actor), instrumentID)
}

func (a *App) takeOff(
	ctx context.Context, r postgres.Reader, piano uuid.UUID,
) (Versioned[TakenOff], error) {
	i, err := r.Instrument(ctx, piano)
	if err != nil {
		return Versioned[TakenOff]{}, err
	}
	t := TakenOff{Instrument: i.Value}
	rev, err := r.LatestRevision(ctx)
	if err != nil {
		return Versioned[TakenOff]{}, err
	}
	c, err := a.catalogueOf(ctx, r, rev.Document)
	if err != nil {
		return Versioned[TakenOff]{}, err
	}
	t.Catalogue = c
	s, err := r.LatestSurvey(ctx, piano)
	if err != nil {
		return Versioned[TakenOff]{}, err
	}
	var findings []survey.Finding
	if s != nil {
		t.Survey, findings = s.Value.ID, s.Value.Findings
	}
	if t.Judgements, err = survey.Judge(c, i.Value.Kind, findings); err != nil {
		return Versioned[TakenOff]{}, err
	}
	t.TakeOff = instrument.TakeOffOf(c, i.Value, t.Judgements)
	t.Strings = instrument.StringsOf(c, i.Value, t.Judgements, instrument.UsualStringTerms())
	return Versioned[TakenOff]{Value: t, Version: i.Version, CreatedAt: i.CreatedAt}, nil
}

// Measure replaces the counts and measurements of an instrument, at the version of the instrument
// that was read.
func (a *App) Measure(
	ctx context.Context, actor Actor, instrumentID uuid.UUID, list []instrument.Measurement,
	version int64,
) (Versioned[TakenOff], error) {
	var now Versioned[TakenOff]
	err := a.write(ctx, actor, domain.WriteInstruments, func(tx *postgres.Tx) error {
		i, err := tx.Instrument(ctx, instrumentID)
		if err != nil {
			return err
		}
		i.Value.Measured = list
		if err := i.Value.CheckMeasured(); err != nil {
			return err
		}
		if err := tx.SaveMeasurements(ctx, instrumentID, list, version); err != nil {
			return err
		}
		tx.Note(domain.InstrumentMeasured, instrumentID, noted{
			"measurements": len(list), "version": version + 1,
		})
		now, err = a.takeOff(ctx, tx.Reader, instrumentID)
		return err
	})
	return now, err
}

// MeasureScale replaces the measured strings of an instrument, at the version of the instrument
// that was read. A row that gives only the gauge of its wire gets that gauge's diameter.
func (a *App) MeasureScale(
	ctx context.Context, actor Actor, piano uuid.UUID, scale []instrument.ScaleNote, version int64,
) (Versioned[instrument.Instrument], error) {
	var now Versioned[instrument.Instrument]
	err := a.write(ctx, actor, domain.WriteInstruments, func(tx *postgres.Tx) error {
		i, err := tx.Instrument(ctx, piano)
		if err != nil {
			return err
		}
		i.Value.Scale = instrument.FillGauges(scale)
		if err := i.Value.CheckScale(); err != nil {
			return err
		}
		if err := tx.SaveScale(ctx, piano, i.Value.Scale, version); err != nil {
			return err
		}
		tx.Note(domain.InstrumentScaleMeasured, piano, noted{"notes": len(scale), "version": version + 1})
		now, err = tx.Instrument(ctx, piano)
		return err
	})
	return now, err
}

// Strings returns the string report of an instrument on the given terms, with the down bearing from
// its newest survey.
func (a *App) Strings(
	ctx context.Context, actor Actor, piano uuid.UUID, terms instrument.StringTerms,
) (instrument.StringReport, error) {
	t, err := a.TakeOff(ctx, actor, piano)
	if err != nil {
		return instrument.StringReport{}, err
	}
	return instrument.StringsOf(t.Value.Catalogue, t.Value.Instrument, t.Value.Judgements, terms), nil
}
