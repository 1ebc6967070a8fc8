//go:build !amd64

package convnet

func (p *rowPair) correlate() { p.correlateGo() }
