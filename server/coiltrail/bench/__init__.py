"""Measurements that anybody can repeat: ``coiltrail bench NAME``, one module a benchmark."""
