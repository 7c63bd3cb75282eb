package store

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"slices"

	"velamen/internal/care"
)

// blockSeconds is the span of time whose readings of one channel lie packed in one
// row, with one digest: short enough that a sensor that tells every minute makes
// little to write anew, long enough that the row costs little beside them.
const blockSeconds = 4 * 3600

// blockOf returns the start of the block that an instant lies in.
func blockOf(at int64) int64 {
	return int64(math.Floor(float64(at)/blockSeconds)) * blockSeconds
}

// readingAt is a reading as it is kept: seconds since 1970 and steps of its
// quantity.
type readingAt struct{ at, value int64 }

// packBlock writes the readings of one block, in rising order of time. Each is a
// number: the difference from the value before, and in its last bit whether the
// time to the reading before is another one than between those before, which
// then follows as a number of its own. Loggers tell at regular times, of what
// changes slowly: most readings take one byte.
func packBlock(start int64, list []readingAt) []byte {
	packed := make([]byte, 0, 2*len(list)+8)
	packed = binary.AppendUvarint(packed, uint64(len(list)))
	last, apart := readingAt{start, 0}, int64(0)
	for _, r := range list {
		change, other := r.value-last.value, r.at-last.at-apart
		number := zigzag(change) << 1
		if other == 0 {
			packed = binary.AppendUvarint(packed, number)
		} else {
			packed = binary.AppendUvarint(packed, number|1)
			packed = binary.AppendVarint(packed, other)
			apart += other
		}
		last = r
	}
	return packed
}

func zigzag(v int64) uint64 { return uint64(v<<1) ^ uint64(v>>63) }
func zagzig(u uint64) int64 { return int64(u>>1) ^ -int64(u&1) }

// unpackBlock appends the readings of one block. What packBlock cannot have
// written is an error.
func unpackBlock(list []readingAt, start int64, packed []byte) ([]readingAt, error) {
	rest := packed
	next := func() (uint64, bool) {
		if len(rest) > 0 && rest[0] < 0x80 { // nearly always
			u := uint64(rest[0])
			rest = rest[1:]
			return u, true
		}
		u, n := binary.Uvarint(rest)
		if n <= 0 {
			return 0, false
		}
		rest = rest[n:]
		return u, true
	}
	count, ok := next()
	if !ok || count == 0 || count > blockSeconds || count > uint64(len(packed)) {
		return nil, fmt.Errorf("a block of readings cannot hold %d", count)
	}
	list = slices.Grow(list, int(count))
	last, apart := readingAt{start, 0}, int64(0)
	for i := range count {
		number, ok := next()
		if !ok {
			return nil, fmt.Errorf("of %d readings %d are there", count, i)
		}
		if number&1 == 1 {
			other, ok := next()
			if !ok {
				return nil, fmt.Errorf("of %d readings %d are there", count, i)
			}
			apart += zagzig(other)
		}
		r := readingAt{last.at + apart, last.value + zagzig(number>>1)}
		if r.at < start || r.at >= start+blockSeconds || i > 0 && r.at <= last.at {
			return nil, fmt.Errorf("reading %d of %d lies at the wrong time", i+1, count)
		}
		list, last = append(list, r), r
	}
	if len(rest) > 0 {
		return nil, fmt.Errorf("%d bytes follow the last reading", len(rest))
	}
	return list, nil
}

// measures names a channel.
type measures struct {
	space, source string
	quantity      care.Quantity
}

func (m measures) String() string {
	return fmt.Sprintf("the %s by %s in %s", m.quantity, m.source, m.space)
}

// sealBlock is the digest of a block. The names of the channel are part of it, so
// that readings cannot come under another name either.
func (m measures) sealBlock(start int64, packed []byte) []byte {
	return seal("readings", m.space, m.source, string(m.quantity), start, packed)
}

// open unpacks a block that is what was kept. Any other is never given out: that
// is a *Damaged.
func (m measures) open(list []readingAt, start int64, packed, digest []byte) ([]readingAt, error) {
	if !bytes.Equal(m.sealBlock(start, packed), digest) {
		return nil, m.damaged(start, changedSinceKept)
	}
	list, err := unpackBlock(list, start, packed)
	if err != nil {
		return nil, m.damaged(start, err.Error())
	}
	return list, nil
}

func (m measures) damaged(start int64, why string) error {
	return &Damaged{What: fmt.Sprintf("%s, the four hours from %s", m, moment(start*1e6, 0).Format("2006-01-02 15:04 UTC")), Why: why}
}
