package report

import (
	"context"
	"errors"
	"fmt"
	"runtime"
)

// ahead makes the pictures of a report while its pages are laid out, some at a time on all
// processors, in the order in which they are wanted. Only a few stand ready, so that memory does
// not grow with the report.
type ahead struct {
	want []PictureRequest
	made []chan madePicture // one for each wanted, with room for its picture
	next int
	free chan struct{} // one for each that may be begun before it is taken
}

type madePicture struct {
	pic Picture
	err error
}

// aheadOf begins. It ends with the context.
func aheadOf(ctx context.Context, want []PictureRequest, picture func(context.Context, PictureRequest) (Picture, error)) *ahead {
	procs := runtime.GOMAXPROCS(0)
	a := &ahead{want: want, made: make([]chan madePicture, len(want)), free: make(chan struct{}, 2*procs)}
	for i := range a.made {
		a.made[i] = make(chan madePicture, 1)
	}
	for range cap(a.free) {
		a.free <- struct{}{}
	}
	begin := make(chan int)
	go func() {
		defer close(begin)
		for i := range want {
			select {
			case <-a.free:
			case <-ctx.Done():
				return
			}
			begin <- i
		}
	}()
	for range procs {
		go func() {
			for i := range begin {
				pic, err := picture(ctx, want[i])
				a.made[i] <- madePicture{pic, err}
			}
		}()
	}
	return a
}

// errOtherLayout is a fault of this package.
var errOtherLayout = errors.New("the second layout of the report wants another picture than the first")

// take waits for the next picture, which must be the one that was wanted there.
func (a *ahead) take(ctx context.Context, r PictureRequest) (Picture, error) {
	if a.next >= len(a.want) || a.want[a.next] != r {
		return Picture{}, fmt.Errorf("%w: %s", errOtherLayout, r.Location.Tag)
	}
	i := a.next
	a.next++
	select {
	case m := <-a.made[i]:
		a.free <- struct{}{}
		return m.pic, m.err
	case <-ctx.Done():
		return Picture{}, ctx.Err()
	}
}

// picture gives a finding's picture; on the first layout it only notes that it will be wanted.
func (w *writer) picture(r PictureRequest) (Picture, error) {
	if w.counting {
		w.wanted = append(w.wanted, r)
		return Picture{}, nil
	}
	pic, err := w.pictures.take(w.ctx, r)
	if errors.Is(err, errOtherLayout) {
		w.fault = err // told by the next step: it is no picture that is missing
	}
	return pic, err
}
