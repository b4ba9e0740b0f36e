package pipeline
