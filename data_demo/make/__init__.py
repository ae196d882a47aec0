"""A demo facility whose truth is known: twelve years of records of three desks, made from a fixed seed."""

from data_demo.make.book import record_book, run_workshop
from data_demo.make.write import demo_book, write_demo

__all__ = ["demo_book", "record_book", "run_workshop", "write_demo"]
