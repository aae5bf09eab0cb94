"""What the judge measures: the tracks of joints, panels, keep-outs and slip planes of a wall."""
