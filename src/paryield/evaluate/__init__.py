"""Splits, baselines, scores, backtest, calibration: is what was claimed true?"""
