package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math"
	"slices"

	"velamen/internal/care"
)

// ReadingBatch is how many readings are kept in one transaction at most.
const ReadingBatch = 20_000

// What is kept of readings, in the words of the domain.
type (
	Kept     = care.Kept
	FileMark = care.FileMark
	Delivery = care.Delivery
)

// steps are how finely each quantity is kept: readings per unit.
var steps = map[care.Quantity]float64{care.AirTemperature: 100, care.AirHumidity: 100, care.LeafLight: 10}

// KeepReadings adds readings, all or none, at most ReadingBatch of them, and
// returns what became of each. They are on the disk when it returns; their
// summaries are not made yet (see Settle). A reading that is there already is
// passed over.
func (s *Store) KeepReadings(ctx context.Context, list []care.Reading) (kept Kept, err error) {
	err = s.change(ctx, func(tx *sql.Tx) error {
		kept, err = s.addReadings(ctx, tx, list)
		return err
	})
	return kept, keeping(err)
}

// KeepOfFile is KeepReadings that notes in the same transaction how far the file
// they came from has been read, and returns the mark with what became of it.
func (s *Store) KeepOfFile(ctx context.Context, mark FileMark, list []care.Reading) (FileMark, error) {
	recorded, _ := instant(s.stamp())
	err := s.change(ctx, func(tx *sql.Tx) error {
		kept, err := s.addReadings(ctx, tx, list)
		if err != nil {
			return err
		}
		mark.Kept.Add(kept)
		_, err = tx.ExecContext(ctx, `INSERT INTO reading_file (digest, name, lines, added, doubled, differ, recorded, seal) VALUES (?, ?, ?, ?, ?, ?, ?, ?)
			ON CONFLICT (digest) DO UPDATE SET lines = excluded.lines, added = excluded.added, doubled = excluded.doubled, differ = excluded.differ, seal = excluded.seal`,
			mark.Digest[:], mark.Name, mark.Lines, mark.Kept.Added, mark.Kept.Doubled, mark.Kept.Differ, recorded, sealMark(mark))
		return err
	})
	return mark, keeping(err)
}

// KeepDelivered is KeepReadings for a message that may come twice: a second
// delivery changes nothing and reports false.
func (s *Store) KeepDelivered(ctx context.Context, d Delivery, list []care.Reading) (kept Kept, fresh bool, err error) {
	err = s.change(ctx, func(tx *sql.Tx) error {
		if d.Again {
			var there int
			err := tx.QueryRowContext(ctx, "SELECT count(*) FROM delivery WHERE client = ? AND packet = ? AND digest = ?", d.Client, d.Packet, d.Digest[:]).Scan(&there)
			if err != nil || there > 0 {
				return err
			}
		}
		fresh = true
		_, err := tx.ExecContext(ctx, `INSERT INTO delivery (client, packet, digest) VALUES (?, ?, ?)
			ON CONFLICT (client, packet) DO UPDATE SET digest = excluded.digest`, d.Client, d.Packet, d.Digest[:])
		if err != nil {
			return err
		}
		kept, err = s.addReadings(ctx, tx, list)
		return err
	})
	return kept, fresh, keeping(err)
}

func keeping(err error) error {
	if err != nil {
		return fmt.Errorf("keeping readings: %w", err)
	}
	return nil
}

// FileMarkOf returns how far a file was imported; nothing yet gives a mark of no
// lines. So does a mark that was changed after it was kept: the file is read from
// its beginning again, and what is there already is passed over.
func (s *Store) FileMarkOf(ctx context.Context, digest [32]byte, name string) (FileMark, error) {
	m := FileMark{Digest: digest, Name: name}
	var sealed int64
	err := s.read.QueryRowContext(ctx, "SELECT lines, added, doubled, differ, seal FROM reading_file WHERE digest = ?", digest[:]).
		Scan(&m.Lines, &m.Kept.Added, &m.Kept.Doubled, &m.Kept.Differ, &sealed)
	if errors.Is(err, sql.ErrNoRows) || err == nil && sealed != sealMark(m) {
		return FileMark{Digest: digest, Name: name}, nil
	}
	return m, err
}

func sealMark(m FileMark) int64 {
	return shortSeal("file", m.Digest[:], m.Lines, m.Kept.Added, m.Kept.Doubled, m.Kept.Differ)
}

// channel is where the readings of one sensor and quantity go.
type channel struct {
	measures
	id, space int64
}

// addReadings keeps readings, block by block.
func (s *Store) addReadings(ctx context.Context, tx *sql.Tx, list []care.Reading) (kept Kept, err error) {
	if len(list) > ReadingBatch {
		return kept, fmt.Errorf("%d readings at once; %d are the most", len(list), ReadingBatch)
	}
	parts, err := s.byChannel(ctx, tx, list)
	if err != nil {
		return kept, err
	}
	k, err := newKeeper(ctx, tx)
	if err != nil {
		return kept, err
	}
	defer k.close()
	for _, part := range parts {
		earlier := func(a, b readingAt) int { return int(a.at - b.at) }
		if !slices.IsSortedFunc(part.list, earlier) {
			slices.SortStableFunc(part.list, earlier)
		}
		for rest := part.list; len(rest) > 0; {
			start := blockOf(rest[0].at)
			n := 1
			for n < len(rest) && rest[n].at < start+blockSeconds {
				n++
			}
			if err := k.merge(ctx, part.to, start, rest[:n]); err != nil {
				return kept, err
			}
			rest = rest[n:]
		}
	}
	return k.kept, nil
}

// channelPart are readings of one channel.
type channelPart struct {
	to   channel
	list []readingAt
}

// byChannel parts readings by where they go, and checks each.
func (s *Store) byChannel(ctx context.Context, tx *sql.Tx, list []care.Reading) ([]*channelPart, error) {
	now := s.now()
	var parts []*channelPart
	known := map[measures]*channelPart{}
	last := [4]*channelPart{} // of the line of a file, whose columns take turns
	for i := range list {
		r := &list[i]
		if err := r.Check(now); err != nil {
			return nil, err
		}
		part := last[i%len(last)]
		if key := (measures{r.Space, r.Source, r.Quantity}); part == nil || part.to.measures != key {
			if part = known[key]; part == nil {
				to, err := channelOf(ctx, tx, key)
				if err != nil {
					return nil, err
				}
				part = &channelPart{to: to}
				known[key], parts = part, append(parts, part)
			}
			last[i%len(last)] = part
		}
		part.list = append(part.list, readingAt{r.At.Unix(), readingOf(*r)})
	}
	return parts, nil
}

// keeper merges readings into their blocks.
type keeper struct {
	tx               *sql.Tx
	read, put, stale *sql.Stmt
	kept             Kept
	there, merged    []readingAt
}

func newKeeper(ctx context.Context, tx *sql.Tx) (*keeper, error) {
	k := &keeper{tx: tx}
	for to, text := range map[**sql.Stmt]string{
		&k.read: "SELECT packed, digest FROM reading_block WHERE channel = ? AND start = ?",
		&k.put: `INSERT INTO reading_block (channel, start, packed, digest) VALUES (?, ?, ?, ?)
			ON CONFLICT (channel, start) DO UPDATE SET packed = excluded.packed, digest = excluded.digest`,
		&k.stale: "INSERT INTO climate_stale (space, hour) VALUES (?, ?) ON CONFLICT DO NOTHING",
	} {
		var err error
		if *to, err = tx.PrepareContext(ctx, text); err != nil {
			k.close()
			return nil, err
		}
	}
	return k, nil
}

func (k *keeper) close() {
	for _, one := range []*sql.Stmt{k.read, k.put, k.stale} {
		if one != nil {
			one.Close()
		}
	}
}

// block returns the readings of a block; none yet when it is not there.
func (k *keeper) block(ctx context.Context, of channel, start int64) ([]readingAt, error) {
	var packed, digest []byte
	err := k.read.QueryRowContext(ctx, of.id, start).Scan(&packed, &digest)
	if errors.Is(err, sql.ErrNoRows) {
		return k.there[:0], nil
	}
	if err != nil {
		return nil, err
	}
	return of.open(k.there[:0], start, packed, digest)
}

// merge adds readings, in order of time, to a block. Of several for one moment the
// one that was there, or else the first, stays.
func (k *keeper) merge(ctx context.Context, to channel, start int64, fresh []readingAt) (err error) {
	if k.there, err = k.block(ctx, to, start); err != nil {
		return err
	}
	merged, added := k.merged[:0], 0
	there, hour := k.there, int64(math.MinInt64)
	for _, r := range fresh {
		for len(there) > 0 && there[0].at <= r.at {
			merged, there = append(merged, there[0]), there[1:]
		}
		if n := len(merged); n > 0 && merged[n-1].at == r.at {
			if merged[n-1].value == r.value {
				k.kept.Doubled++
			} else {
				k.kept.Differ++
			}
			continue
		}
		merged = append(merged, r)
		added++
		if h := floorHour(r.at); h != hour {
			hour = h
			if _, err := k.stale.ExecContext(ctx, to.space, hour); err != nil {
				return err
			}
		}
	}
	k.merged = append(merged, there...)
	if added == 0 {
		return nil
	}
	k.kept.Added += added
	return k.write(ctx, to, start, k.merged)
}

func (k *keeper) write(ctx context.Context, to channel, start int64, list []readingAt) error {
	packed := packBlock(start, list)
	_, err := k.put.ExecContext(ctx, to.id, start, packed, to.sealBlock(start, packed))
	return err
}

// readingOf returns the value of a reading as it is kept.
func readingOf(r care.Reading) int64 { return int64(math.Round(r.Value * steps[r.Quantity])) }

func floorHour(at int64) int64 { return int64(math.Floor(float64(at) / 3600)) }

// channelOf returns a channel, and makes it and its space if need be.
func channelOf(ctx context.Context, tx *sql.Tx, key measures) (c channel, err error) {
	if _, err = tx.ExecContext(ctx, "INSERT INTO measured_space (name) VALUES (?) ON CONFLICT DO NOTHING", key.space); err != nil {
		return c, err
	}
	c.measures = key // but for the name of the space, whose letters may be large or small
	if err = tx.QueryRowContext(ctx, "SELECT id, name FROM measured_space WHERE name = ?", key.space).Scan(&c.space, &c.measures.space); err != nil {
		return c, err
	}
	if _, err = tx.ExecContext(ctx, "INSERT INTO channel (space, source, quantity) VALUES (?, ?, ?) ON CONFLICT DO NOTHING", c.space, key.source, string(key.quantity)); err != nil {
		return c, err
	}
	err = tx.QueryRowContext(ctx, "SELECT id FROM channel WHERE space = ? AND source = ? AND quantity = ?", c.space, key.source, string(key.quantity)).Scan(&c.id)
	return c, err
}
