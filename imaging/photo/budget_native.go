//go:build !js

package photo

// memoryBudget is what decoding one picture may take, bytes, so that all of measuring stays
// below 500 MB: it holds 50 MP of everything but progressive JPEG (7.5 bytes a pixel and the
// turned copy), of which it holds 44 MP.
const memoryBudget = 384 << 20
